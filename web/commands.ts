// An operator's request to the daemon: posted as plain data, answered with a line for the operator. It decides nothing.

import { detailOf } from "../daemon/wire/http-problem.ts";
import type { strings } from "./strings.ts";

/** What this page can ask for; the daemon's core has the whole list. */
export type PageAction =
  | { readonly kind: "acknowledge"; readonly tag: string; readonly comment?: string }
  | { readonly kind: "reset" }
  | { readonly kind: "shelve"; readonly tag: string; readonly seconds: number; readonly comment?: string }
  | { readonly kind: "unshelve"; readonly tag: string }
  | { readonly kind: "bypass"; readonly seconds: number; readonly comment: string }
  | { readonly kind: "end bypass" }
  | {
      readonly kind: "proof test";
      readonly step: "begin" | "confirm released" | "confirm permitted" | "abandon";
    };

/** A line for the record; it changes nothing, so nothing is confirmed first. */
export type NoteAction = { readonly kind: "note"; readonly text: string };

/** What became of it, in the daemon's words where it gave any. */
export type Answer = { readonly done: boolean; readonly text: string };

const DEADLINE_MILLISECONDS = 5000;

/** The daemon's own words in `body`, whatever kind of answer it was. */
function wordsOf(body: unknown): { readonly accepted: boolean; readonly text: string | null } {
  if (typeof body !== "object" || body === null) return { accepted: false, text: null };
  const { accepted, text } = body as { readonly accepted?: unknown; readonly text?: unknown };
  return { accepted: accepted === true, text: typeof text === "string" ? text : detailOf(body) };
}

/** Posts `action`; a refusal or a silence comes back as words, never as an exception. */
export async function ask(
  post: typeof fetch,
  action: PageAction | NoteAction,
  words: (typeof strings)["confirm"],
): Promise<Answer> {
  try {
    const answer = await post("/api/v1/commands", {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify({ action }),
      signal: AbortSignal.timeout(DEADLINE_MILLISECONDS),
    });
    if (answer.status === 401) return { done: false, text: words.refused(words.login) };
    const { accepted, text } = wordsOf(await answer.json());
    if (answer.ok && accepted) return { done: true, text: text ?? words.sent };
    return { done: false, text: words.refused(text ?? String(answer.status)) };
  } catch {
    return { done: false, text: words.refused(words.noAnswer) };
  }
}
