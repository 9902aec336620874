// The kinds of values a config holds, each with the words that a problem line says were expected.
// It knows values, not tables.

import { isIP } from "node:net";
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

/** Where a line is: its number on the chip, `pin 16` of the 40-pin header, or the name that the kernel gives it. */
export type LineText = { readonly offset: number } | { readonly headerPin: number } | { readonly name: string };

const LINE_EXPECTED = 'a line number from 0 to 1023, a pin such as "pin 16", or a line\'s name such as "GPIO23"';
const LAST_LINE = 1023;
const LAST_PIN = 40;
/** The kernel's names are shorter than this (GPIO_MAX_NAME_SIZE of linux/gpio.h, its ending zero byte included). */
const NAME_BYTES = 32;

/** A GPIO line, in any of the three ways a person may count it. */
export const line = z
  .union([z.number(), z.string()], { error: LINE_EXPECTED })
  .transform((input, context): LineText => {
    const found = typeof input === "number" ? { offset: input } : lineOfText(input.trim());
    if (found === null || ("offset" in found && !isWholeUpTo(found.offset, 0, LAST_LINE))) {
      const params = { expected: LINE_EXPECTED } satisfies FieldFault;
      context.issues.push({ code: "custom", input, message: LINE_EXPECTED, params });
      return z.NEVER;
    }
    return found;
  })
  .describe(`a line such as 23, "pin 16" of the header, or "GPIO23"; from 0 to ${LAST_LINE} as a bare number`);

function lineOfText(text: string): LineText | null {
  const pin = /^pin\s*(\d+)$/i.exec(text)?.[1];
  if (pin !== undefined) return isWholeUpTo(Number(pin), 1, LAST_PIN) ? { headerPin: Number(pin) } : null;
  if (/^\d+$/.test(text) || !/^[\x20-\x7e]+$/.test(text) || text.length >= NAME_BYTES) return null;
  return { name: text };
}

const isWholeUpTo = (value: number, low: number, high: number): boolean =>
  Number.isInteger(value) && value >= low && value <= high;

/** Addresses that begin with the same `prefix` bits. */
export type Network = { readonly address: string; readonly prefix: number };

/** An IP address, or a network as address/prefix. */
export const network = text(50).transform((written, context): Network => {
  const [address = "", bits, ...rest] = written.split("/");
  const longest = { 4: 32, 6: 128 }[isIP(address)];
  const prefix = bits === undefined ? longest : /^\d{1,3}$/.test(bits) ? Number(bits) : undefined;
  if (longest !== undefined && prefix !== undefined && prefix <= longest && rest.length === 0)
    return { address, prefix };
  const message = "an address such as 10.0.0.2, or a network such as 10.0.0.0/24";
  context.issues.push({ code: "custom", input: written, message });
  return z.NEVER;
});
