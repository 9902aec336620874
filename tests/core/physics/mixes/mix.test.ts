// Permeability between published points, at them, outside them, and across the hole of mix 52.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type Mix, permeabilityAt, tableRange } from "../../../../daemon/core/physics/mixes/mix.ts";
import { PUBLISHED_MIXES, publishedMix } from "../../../../daemon/core/physics/mixes/published.ts";
import { PhysicsError } from "../../../../daemon/core/physics/physics-error.ts";

const mix = (name: string): Mix => publishedMix(name)!;

describe("permeability of the published mixes", () => {
  it("holds ascending tables with source and licence", () => {
    expect(PUBLISHED_MIXES.map(({ name }) => name)).toEqual(["31", "43", "52", "61"]);
    for (const { permeabilityPoints, source } of PUBLISHED_MIXES) {
      const frequencies = permeabilityPoints.map(([hertz]) => hertz);
      expect(frequencies).toEqual([...new Set(frequencies)].sort((a, b) => a - b));
      expect(permeabilityPoints.every(([, real, imaginary]) => real > 0 && imaginary > 0)).toBe(true);
      expect(source).toMatch(/Apache-2\.0/);
    }
  });

  it("gives the published points themselves", () => {
    for (const one of PUBLISHED_MIXES) {
      for (const [hertz, real, imaginary] of one.permeabilityPoints) {
        expect(permeabilityAt(one, hertz)).toEqual({ real, imaginary, gap: null });
      }
    }
  });

  it("is linear in the logarithm of the frequency in between", () => {
    const middle = permeabilityAt(mix("43"), Math.sqrt(3_400_000 * 3_960_000));
    expect(middle.real).toBeCloseTo((480.6 + 446.9) / 2, 9);
    expect(middle.imaginary).toBeCloseTo((219.6 + 226.8) / 2, 9);
  });

  it("refuses what lies outside the table, by any margin", () => {
    for (const one of PUBLISHED_MIXES) {
      const { lowHertz, highHertz } = tableRange(one);
      for (const hertz of [lowHertz * (1 - 1e-12), highHertz * (1 + 1e-12), 0, Number.NaN, Number.POSITIVE_INFINITY]) {
        try {
          permeabilityAt(one, hertz);
          expect.unreachable(`${one.name} answered at ${hertz} Hz`);
        } catch (error) {
          expect(error).toBeInstanceOf(PhysicsError);
          expect(error).toMatchObject({ code: "OUT_OF_TABLE", low: lowHertz, high: highHertz });
        }
      }
    }
  });

  it("says that mix 52 has a hole from 0.96 to 3 MHz, and only it", () => {
    expect(permeabilityAt(mix("52"), 1_900_000).gap).toEqual({ lowHertz: 960_000, highHertz: 3_000_000 });
    expect(permeabilityAt(mix("52"), 3_600_000).gap).toBeNull();
    for (const one of PUBLISHED_MIXES.filter(({ name }) => name !== "52")) {
      const { lowHertz, highHertz } = tableRange(one);
      fc.assert(
        fc.property(fc.double({ min: lowHertz, max: highHertz, noNaN: true }), (hertz) => {
          expect(permeabilityAt(one, hertz).gap).toBeNull();
        }),
      );
    }
  });

  it("stays between its neighbours", () => {
    const one = mix("61");
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: one.permeabilityPoints.length - 2 }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        (index, share) => {
          const [lowHertz, lowReal] = one.permeabilityPoints[index]!;
          const [highHertz, highReal] = one.permeabilityPoints[index + 1]!;
          const { real } = permeabilityAt(one, lowHertz + share * (highHertz - lowHertz));
          expect(real).toBeGreaterThanOrEqual(Math.min(lowReal, highReal) - 1e-9);
          expect(real).toBeLessThanOrEqual(Math.max(lowReal, highReal) + 1e-9);
        },
      ),
    );
  });
});
