// An operator's request as it comes over HTTP: unknown JSON → Action, or what is wrong with it.
// It knows the shapes of commands and nothing of what they do or who may give them.

import type { Action } from "../core/commands.ts";

/** Why a request is no action; the fields are those of a problem line. */
export type BadAction = { readonly what: string; readonly expected: string; readonly got: string };

const LONGEST_TEXT = 500;
const LONGEST_TAG = 80;
/** A week; the program sets tighter limits of its own. */
const LONGEST_SECONDS = 7 * 86_400;

type Check = { readonly expected: string; readonly fits: (value: unknown) => boolean };

const isText = (value: unknown, longest: number): boolean =>
  typeof value === "string" && value.trim() !== "" && value.length <= longest;
const isWithin = (value: unknown, low: number, high: number): boolean =>
  typeof value === "number" && value >= low && value <= high;

const tag: Check = { expected: "an alarm's tag", fits: (value) => isText(value, LONGEST_TAG) };
const text: Check = {
  expected: `a text of 1 to ${LONGEST_TEXT} characters`,
  fits: (value) => isText(value, LONGEST_TEXT),
};
const optionalText: Check = { expected: text.expected, fits: (value) => value === undefined || text.fits(value) };
const seconds: Check = {
  expected: `a number of seconds from 1 to ${LONGEST_SECONDS}`,
  fits: (value) => isWithin(value, 1, LONGEST_SECONDS),
};
const celsius: Check = { expected: "a number from -60 to 400", fits: (value) => isWithin(value, -60, 400) };
const secondsAgo: Check = { expected: "a number of seconds from 0 to 600", fits: (value) => isWithin(value, 0, 600) };
const STEPS: readonly unknown[] = ["begin", "confirm released", "confirm permitted", "abandon"];
const step: Check = {
  expected: "one of begin, confirm released, confirm permitted, abandon",
  fits: (v) => STEPS.includes(v),
};

const FIELDS: { readonly [kind in Action["kind"]]: Readonly<Record<string, Check>> } = {
  reset: {},
  acknowledge: { tag, comment: optionalText },
  shelve: { tag, seconds, comment: optionalText },
  unshelve: { tag },
  "out of service": { tag, comment: text },
  "return to service": { tag },
  bypass: { seconds, comment: text },
  "end bypass": {},
  "fan off on purpose": { seconds },
  "fan on again": {},
  "fan replaced": {},
  "spot reading": { celsius, secondsAgo },
  "proof test": { step },
  note: { text },
};

/** The action in `value`, or the first thing wrong with it. */
export function parseAction(value: unknown): { readonly action: Action } | { readonly bad: BadAction } {
  if (typeof value !== "object" || value === null || Array.isArray(value)) {
    return { bad: { what: "action", expected: "an object", got: show(value) } };
  }
  const given = value as Readonly<Record<string, unknown>>;
  const kind = given["kind"];
  if (typeof kind !== "string" || !Object.hasOwn(FIELDS, kind)) {
    return { bad: { what: "action.kind", expected: `one of ${Object.keys(FIELDS).join(", ")}`, got: show(kind) } };
  }
  const checks = FIELDS[kind as Action["kind"]];
  for (const [name, check] of Object.entries(checks)) {
    if (!check.fits(given[name])) {
      return { bad: { what: `action.${name}`, expected: check.expected, got: show(given[name]) } };
    }
  }
  const unknown = Object.keys(given).find((name) => name !== "kind" && !Object.hasOwn(checks, name));
  if (unknown !== undefined) {
    const expected = ["kind", ...Object.keys(checks)].join(", ");
    return { bad: { what: `action.${unknown}`, expected: `only ${expected}`, got: show(given[unknown]) } };
  }
  return { action: given as Action };
}

function show(value: unknown): string {
  return value === undefined ? "nothing" : JSON.stringify(value).slice(0, 80);
}
