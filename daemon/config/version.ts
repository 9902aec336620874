// The version of the config's form: how a file of an older one is read as today's, and that one of a newer program is refused.
// Steps change text within its lines, so that comments stay and a problem's line is right; it writes no file.

import { type Problem, RequestError } from "./problem.ts";

/** Rises when a key is renamed or comes to mean something else; a key that is only added needs no new version. */
export const CONFIG_VERSION = 1;

/** From one version to the next. */
export type FormStep = {
  /** The version it begins from. */
  readonly from: number;
  /** What it changes, for the operator. */
  readonly says: string;
  /** The same text in the next version's words, line for line. */
  readonly rewrite: (text: string) => string;
};

/** Every version's way to the next, in order. A file without a version is of the first. */
export const FORM_STEPS: readonly FormStep[] = [];

export type BroughtForward = {
  readonly text: string;
  /** The version that was written in the file. */
  readonly from: number;
  /** What was changed to read it; empty for a file of today's version. */
  readonly changes: readonly string[];
};

/**
 * The text as today's version would have it, but for the number itself.
 * @throws RequestError for a version that is newer than `steps` lead to, or none at all
 */
export function bringForward(
  text: string,
  written: unknown,
  where: string,
  steps: readonly FormStep[] = FORM_STEPS,
): BroughtForward {
  const newest = 1 + steps.length;
  const from = written === undefined ? 1 : written;
  if (typeof from !== "number" || !Number.isInteger(from) || from < 1) {
    throw refused(where, `a whole number from 1 to ${newest}`, JSON.stringify(written) ?? String(written));
  }
  if (from > newest) throw refused(where, `${newest} or older; ${NEWER}`, String(from));
  const due = steps.filter((step) => step.from >= from);
  return {
    text: due.reduce((so, { rewrite }) => rewrite(so), text),
    from,
    changes: due.map(({ says }) => says),
  };
}

/** What to do about a file that a newer program wrote; the same words for every kind of file. */
export const NEWER = "a newer emberwire wrote it: install that one again, or put back the file kept from before";

const refused = (where: string, expected: string, got: string): RequestError =>
  new RequestError([{ what: "version", where, expected, got } satisfies Problem]);

const WRITTEN = /^(\s*version\s*=\s*)\d+/m;

/** The text with its number set, which stands above the first table. */
export function withVersion(text: string, version: number): string {
  const firstTable = /^\s*\[/m.exec(text)?.index ?? text.length;
  const match = WRITTEN.exec(text.slice(0, firstTable));
  if (match === null) return `version = ${version}\n${text}`;
  return text.slice(0, match.index) + match[1] + version + text.slice(match.index + match[0].length);
}
