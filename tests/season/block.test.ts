// Packing loses nothing but what the step allows, and a damaged block is an error, never wrong rows.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type ColumnSpec, OpenBlock, packBlock, type Text } from "../../daemon/season/block.ts";

const SPECS: readonly ColumnSpec[] = [
  { name: "core_celsius", step: 0.01 },
  { name: "fan_rpm", step: 1 },
  { name: "mode", step: null },
];

const number = fc.oneof(fc.double({ min: -300, max: 30_000, noNaN: true }), fc.constant(Number.NaN));
const numbers = fc.oneof(
  fc.array(number, { maxLength: 200 }),
  // Columns that stand still, and columns without a single value.
  fc.tuple(number, fc.nat({ max: 200 })).map(([value, count]) => Array<number>(count).fill(value)),
);
const words: fc.Arbitrary<Text> = fc.oneof(
  fc.constant(null),
  fc.constantFrom("CW", "FT8", "", 'a "quote"'),
  fc.string(),
);

describe("packBlock and OpenBlock", () => {
  it("give back every value to half a step, every text as it was, and missing as missing", () => {
    fc.assert(
      fc.property(numbers, fc.infiniteStream(fc.nat({ max: 5 })), fc.infiniteStream(words), (values, gaps, texts) => {
        let second = 0;
        const seconds = values.map(() => {
          second += gaps.next().value;
          return second;
        });
        const modes = values.map(() => texts.next().value);
        const columns = { seconds, numbers: { core_celsius: values, fan_rpm: values }, texts: { mode: modes } };
        const block = new OpenBlock(SPECS, packBlock(SPECS, columns));
        expect([...block.seconds()]).toEqual(seconds);
        expect(block.texts("mode")).toEqual(modes);
        for (const { name, step } of SPECS) {
          if (step === null) continue;
          const back = block.numbers(name)!;
          expect(back).toHaveLength(values.length);
          values.forEach((value, row) => {
            if (Number.isNaN(value)) expect(back[row]).toBeNaN();
            else expect(Math.abs(back[row]! - value)).toBeLessThanOrEqual(step / 2 + 1e-9);
          });
        }
      }),
    );
  });

  it("refuses columns of different length, falling seconds and values that cannot be held", () => {
    const ok = [1, 2];
    const mode = [null, null];
    const pack = (seconds: number[], core: number[], rpm: number[]) =>
      packBlock(SPECS, { seconds, numbers: { core_celsius: core, fan_rpm: rpm }, texts: { mode } });
    expect(() => pack([0, 1], ok, [1])).toThrow("fan_rpm: expected 2 values, got 1");
    expect(() => pack([1, 0], ok, ok)).toThrow("row 1: second 0 after 1");
    expect(() => pack([0, 1], [1, Infinity], ok)).toThrow("too large");
    expect(() => packBlock(SPECS, { seconds: [], numbers: { core_celsius: [], fan_rpm: [] }, texts: {} })).toThrow(
      "mode: expected 0 values, got none",
    );
  });

  it("knows no columns that are not in it", () => {
    const block = new OpenBlock(
      SPECS,
      packBlock(SPECS, { seconds: [0], numbers: { core_celsius: [1], fan_rpm: [1] }, texts: { mode: ["CW"] } }),
    );
    expect(block.numbers("mode")).toBeNull();
    expect(block.numbers("no such")).toBeNull();
    expect(block.texts("fan_rpm")).toBeNull();
  });

  it("never returns rows from a damaged block: every single flipped byte is noticed", () => {
    const seconds = Array.from({ length: 600 }, (_, index) => index);
    const values = seconds.map((index) => 60 + 20 * Math.sin(index / 50));
    const block = packBlock(SPECS, {
      seconds,
      numbers: { core_celsius: values, fan_rpm: values },
      texts: { mode: seconds.map(() => "CW") },
    });
    for (let at = 0; at < block.length; at += 1) {
      const damaged = Buffer.from(block);
      damaged[at]! ^= 0x41;
      expect(() => new OpenBlock(SPECS, damaged)).toThrow(RangeError);
    }
    expect(() => new OpenBlock(SPECS, block.subarray(0, block.length - 3))).toThrow(RangeError);
    expect(() => new OpenBlock(SPECS, new Uint8Array())).toThrow("got nothing");
  });
});
