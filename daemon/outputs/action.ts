// An operator's request as it comes over HTTP: unknown JSON → Action, or what is wrong with it.
// It knows the shapes of commands and nothing of what they do or who may give them.

import type { Action } from "../core/commands.ts";
import type { JsonSchema } from "./api/route.ts";

/** Why a request is no action; the fields are those of a problem line. */
export type BadAction = { readonly what: string; readonly expected: string; readonly got: string };

const LONGEST_TEXT = 500;
const LONGEST_TAG = 80;
/** A week; the program sets tighter limits of its own. */
const LONGEST_SECONDS = 7 * 86_400;

/** `schema` says in JSON Schema what `fits` finds out. */
type Check = {
  readonly expected: string;
  readonly schema: JsonSchema;
  readonly optional?: true;
  readonly fits: (value: unknown) => boolean;
};

const isText = (value: unknown, longest: number): boolean =>
  typeof value === "string" && value.trim() !== "" && value.length <= longest;
const isWithin = (value: unknown, low: number, high: number): boolean =>
  typeof value === "number" && value >= low && value <= high;

const textOf = (expected: string, longest: number): Check => ({
  expected,
  schema: { type: "string", pattern: "\\S", maxLength: longest },
  fits: (value) => isText(value, longest),
});
const numberOf = (expected: string, low: number, high: number): Check => ({
  expected: `${expected} from ${low} to ${high}`,
  schema: { type: "number", minimum: low, maximum: high },
  fits: (value) => isWithin(value, low, high),
});

const tag = textOf("an alarm's tag", LONGEST_TAG);
const text = textOf(`a text of 1 to ${LONGEST_TEXT} characters`, LONGEST_TEXT);
const optionalText: Check = { ...text, optional: true, fits: (value) => value === undefined || text.fits(value) };
const seconds = numberOf("a number of seconds", 1, LONGEST_SECONDS);
const celsius = numberOf("a number", -60, 400);
const secondsAgo = numberOf("a number of seconds", 0, 600);
const STEPS: readonly unknown[] = ["begin", "confirm released", "confirm permitted", "abandon"];
const step: Check = {
  expected: `one of ${STEPS.join(", ")}`,
  schema: { enum: STEPS },
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

/** Every action as JSON Schema. */
export const ACTION_SCHEMA: JsonSchema = {
  oneOf: Object.entries(FIELDS).map(([kind, checks]) => ({
    title: kind,
    type: "object",
    properties: {
      kind: { const: kind },
      ...Object.fromEntries(Object.entries(checks).map(([name, { schema }]) => [name, schema])),
    },
    required: ["kind", ...Object.keys(checks).filter((name) => checks[name]?.optional === undefined)],
    additionalProperties: false,
  })),
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
