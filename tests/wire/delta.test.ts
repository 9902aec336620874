// A delta must turn one frame into the next, whatever changed.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { diffFrames, mergeDelta } from "../../daemon/wire/delta.ts";
import { type Frame, QUANTITY_NAMES, type Quantity } from "../../daemon/wire/frame.ts";
import { PLAIN_FRAME } from "../support/frame.ts";

const quantity: fc.Arbitrary<Quantity> = fc.oneof(
  fc.record({
    value: fc.integer({ min: -50, max: 50 }),
    quality: fc.constant("good" as const),
    code: fc.constant(null),
  }),
  fc.record({ value: fc.constant(null), quality: fc.constant("bad" as const), code: fc.constantFrom("NACK", "CRC") }),
);

const frame: fc.Arbitrary<Frame> = fc
  .record({
    at_seconds: fc.nat(9),
    quantities: fc.dictionary(fc.constantFrom(...QUANTITY_NAMES), quantity),
    power_stage: fc.constantFrom("full" as const, "reduced" as const, "inhibited" as const),
    reasons: fc.array(fc.constantFrom("hot", "stalled"), { maxLength: 2 }),
    band: fc.constantFrom(null, "80 m"),
    relay_readback: fc.constantFrom(null, { reduce: true, inhibit: false }, { reduce: null, inhibit: null }),
    headroom: fc.constantFrom(
      { kind: "unknown" as const },
      { kind: "reaches limit" as const, seconds: 60 },
      { kind: "levels off" as const, level_celsius: 70 },
    ),
  })
  .map((changes) => ({ ...PLAIN_FRAME, ...changes }));

/** As it crosses the wire. */
const carried = <T>(value: T): T => JSON.parse(JSON.stringify(value)) as T;

describe("diff and merge", () => {
  it("carry any frame into any other through JSON", () => {
    fc.assert(
      fc.property(frame, frame, (before, after) => {
        expect(mergeDelta(before, carried(diffFrames(before, after)))).toEqual(after);
      }),
    );
  });

  it("of a frame with itself is empty", () => {
    fc.assert(
      fc.property(frame, (same) => {
        expect(diffFrames(same, carried(same))).toEqual({});
      }),
    );
  });

  it("names only what changed", () => {
    const core = { value: 61, quality: "estimated", code: null } as const;
    const after = { ...PLAIN_FRAME, at_seconds: 101, quantities: { ...PLAIN_FRAME.quantities, core_celsius: core } };
    expect(diffFrames(PLAIN_FRAME, after)).toEqual({ at_seconds: 101, quantities: { core_celsius: core } });
  });

  it("takes away a quantity that ceased to exist", () => {
    const { core_celsius: _gone, ...rest } = PLAIN_FRAME.quantities;
    const delta = diffFrames(PLAIN_FRAME, { ...PLAIN_FRAME, quantities: rest });
    expect(delta).toEqual({ quantities: { core_celsius: null } });
    expect(mergeDelta(PLAIN_FRAME, delta).quantities).toEqual(rest);
  });

  it("leave both frames as they were", () => {
    const before = structuredClone(PLAIN_FRAME);
    mergeDelta(PLAIN_FRAME, { at_seconds: 1, quantities: { core_celsius: null } });
    expect(PLAIN_FRAME).toEqual(before);
  });
});
