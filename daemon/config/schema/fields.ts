// The kinds of values a config holds, each with the words that a problem line says were expected.
// It knows values, not tables.

import * as z from "zod";
import { parseQuantity, type QuantityKind } from "../quantity.ts";

type Bounds = { readonly low?: number; readonly high?: number; readonly whole?: boolean };

/** Names the fault in a problem line; zod's own message is never shown. */
export type FieldFault = { readonly expected: string; readonly got?: string };

/** A quantity with a unit (`"110C"`), or a bare number in SI; becomes a number in SI. */
export function quantity(kind: QuantityKind, bounds: Bounds = {}) {
  return z
    .union([z.string(), z.number()], { error: () => expectedOf(kind, bounds) })
    .transform((input, context) => {
      const parsed = parseQuantity(input, kind, { what: "", where: "", ...bounds });
      if (parsed.problem === null) return parsed.value;
      const { expected, got } = parsed.problem;
      context.issues.push({ code: "custom", input, message: expected, params: { expected, got } satisfies FieldFault });
      return z.NEVER;
    })
    .describe(describedOf(kind, bounds));
}

/** What the schema says of a quantity: how it is written, and within which bounds. */
function describedOf(kind: QuantityKind, bounds: Bounds): string {
  const written = expectedOf(kind, bounds);
  const { low, high } = bounds;
  const ends = [low === undefined ? [] : [`from ${low}`], high === undefined ? [] : [`to ${high}`]].flat().join(" ");
  return ends === "" ? written : `${written}; ${ends} as a bare number`;
}

function expectedOf(kind: QuantityKind, bounds: Bounds): string {
  return parseQuantity("", kind, { what: "", where: "", ...bounds }).problem?.expected ?? kind;
}

/** A whole number. */
export function whole(low: number, high: number) {
  const error = `a whole number from ${low} to ${high}`;
  return z.int({ error }).min(low, { error }).max(high, { error });
}

/** One line of text. */
export function text(longest: number) {
  const error = `a text of 1 to ${longest} characters in one line`;
  return z
    .string({ error })
    .min(1, { error })
    .max(longest, { error })
    .regex(/^[^\p{Cc}]*$/u, { error });
}

/** One word of a closed list. */
export function oneOf<const Word extends string>(...words: readonly Word[]) {
  return z.enum(words as readonly [Word, ...Word[]], { error: `one of ${words.join(", ")}` });
}

export const flag = z.boolean({ error: "true or false" });

/** An I2C bus by its number, e.g. 1 for /dev/i2c-1. */
export const bus = whole(0, 255);

/** A 7-bit address outside the reserved ranges of the I2C specification (UM10204, section 3.1.12). */
export const address = whole(0x08, 0x77);

/** A line of a GPIO chip. */
export const line = whole(0, 1023);
