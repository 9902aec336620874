// The interface's document as text, made and with it zod loaded when somebody first asks. The routes do not change after that.

import type { Route } from "./route.ts";

/** Resolves with the same text each time. */
export function documentLoader(routes: () => readonly Route[], version: string): () => Promise<string> {
  let text: Promise<string> | null = null;
  const load = async (): Promise<string> => {
    const { documentOf } = await import("./document.ts");
    return JSON.stringify(documentOf(routes(), version));
  };
  return () => {
    text ??= load();
    return text;
  };
}
