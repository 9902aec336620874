// Decimals read by hand must be the very doubles that the language reads, and written ones must read back as rounded.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { formatDecimal, parseDecimal } from "../../daemon/recording/decimal.ts";

describe("reading", () => {
  it("gives the double nearest to any decimal, as ECMAScript's own Number does", () => {
    const digits = fc.string({ unit: fc.constantFrom(..."0123456789"), minLength: 1, maxLength: 18 });
    fc.assert(
      fc.property(
        fc.boolean(),
        digits,
        fc.option(digits),
        fc.option(fc.integer({ min: -30, max: 30 })),
        (minus, whole, part, power) => {
          const text = `${minus ? "-" : ""}${whole}${part === null ? "" : `.${part}`}${power === null ? "" : `e${power}`}`;
          expect(parseDecimal(text)).toBe(Number(text));
        },
      ),
    );
  });

  it.each(["20.", ".5", "+3", "1E3", "-0", "007"])("takes %s", (text) => {
    expect(parseDecimal(text)).toBe(Number(text));
  });

  it.each(["", "-", ".", "-.", " 1", "1 ", "0x10", "Infinity", "NaN", "1.2.3", "1e", "--1", "1,5", "١"])(
    "%j is no number",
    (text) => {
      expect(parseDecimal(text)).toBeNaN();
    },
  );
});

describe("writing", () => {
  it("reads back within half of the last place, in the shortest form", () => {
    fc.assert(
      fc.property(
        fc.double({ min: -1e9, max: 1e9, noNaN: true }),
        fc.integer({ min: 0, max: 6 }),
        (value, decimals) => {
          const text = formatDecimal(value, decimals);
          expect(text).toMatch(/^-?\d+(\.\d*[1-9])?$/);
          expect(Math.abs(Number(text) - value)).toBeLessThanOrEqual(0.5 * 10 ** -decimals + 1e-6);
        },
      ),
    );
  });

  it.each([
    [0, 3, "0"],
    [-0.0001, 3, "0"],
    [81.9, 3, "81.9"],
    [0.003525, 7, "0.003525"],
    [-12.0504, 3, "-12.05"],
    [1e20, 3, "100000000000000000000"],
    [null, 3, ""],
    [Number.POSITIVE_INFINITY, 3, ""],
  ])("%s to %i places is %s", (value, decimals, text) => {
    expect(formatDecimal(value, decimals)).toBe(text);
  });
});
