// The version and name of this program, from its package.json, wherever it was built to. It holds no figure of its own.

import { readFileSync } from "node:fs";

/** Looks upward from this file; @throws Error when there is no package.json of ours. */
export function programVersion(): string {
  for (let up = "../"; up.length <= 12; up += "../") {
    const found = packageAt(new URL(`${up}package.json`, import.meta.url));
    if (found?.name === "emberwire") return found.version;
  }
  throw new Error("package.json of emberwire was not found above the program");
}

function packageAt(place: URL): { readonly name: string; readonly version: string } | null {
  try {
    return JSON.parse(readFileSync(place, "utf8")) as { readonly name: string; readonly version: string };
  } catch {
    return null;
  }
}
