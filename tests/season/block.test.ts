// Packing loses nothing but what the step allows, and a damaged block is an error, never wrong rows.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type ColumnSpec, packBlock, unpackBlock } from "../../daemon/season/block.ts";

const SPECS: readonly ColumnSpec[] = [
  { name: "core_celsius", step: 0.01 },
  { name: "fan_rpm", step: 1 },
];

const column = fc.array(fc.oneof(fc.double({ min: -300, max: 30_000, noNaN: true }), fc.constant(Number.NaN)), {
  minLength: 0,
  maxLength: 200,
});

describe("packBlock and unpackBlock", () => {
  it("give back every value to half a step, and missing as missing", () => {
    fc.assert(
      fc.property(column, fc.array(fc.nat({ max: 5 }), { minLength: 200, maxLength: 200 }), (values, gaps) => {
        let second = 0;
        const seconds = values.map((_, row) => {
          second += gaps[row]!;
          return second;
        });
        const unpacked = unpackBlock(
          SPECS,
          packBlock(SPECS, { seconds, values: { core_celsius: values, fan_rpm: values } }),
        );
        expect([...unpacked.seconds]).toEqual(seconds);
        for (const { name, step } of SPECS) {
          values.forEach((value, row) => {
            const back = unpacked.values[name]![row]!;
            if (Number.isNaN(value)) expect(back).toBeNaN();
            else expect(Math.abs(back - value)).toBeLessThanOrEqual(step / 2 + 1e-9);
          });
        }
      }),
    );
  });

  it("refuses columns of different length, falling seconds and values that cannot be held", () => {
    const ok = [1, 2];
    expect(() => packBlock(SPECS, { seconds: [0, 1], values: { core_celsius: ok, fan_rpm: [1] } })).toThrow(
      "fan_rpm: expected 2 values, got 1",
    );
    expect(() => packBlock(SPECS, { seconds: [1, 0], values: { core_celsius: ok, fan_rpm: ok } })).toThrow(
      "row 1: second 0 after 1",
    );
    expect(() => packBlock(SPECS, { seconds: [0, 1], values: { core_celsius: [1, Infinity], fan_rpm: ok } })).toThrow(
      "too large",
    );
  });

  it("never returns rows from a damaged block", () => {
    const seconds = Array.from({ length: 600 }, (_, index) => index);
    const values = seconds.map((index) => 60 + 20 * Math.sin(index / 50));
    const block = packBlock(SPECS, { seconds, values: { core_celsius: values, fan_rpm: values } });
    expect(() => unpackBlock(SPECS, block.subarray(0, block.length - 3))).toThrow();
    expect(() => unpackBlock(SPECS, Buffer.concat([Buffer.of(9), block.subarray(1)]))).toThrow(
      "block version: expected 1, got 9",
    );
    expect(() => unpackBlock(SPECS, new Uint8Array())).toThrow("got nothing");
  });
});
