// Common practice, no source: two observations of the trade about one 102 × 102 × 51 mm plastic box with three 61 mm toroids of mix 43.
// With a 12 CFM fan and three 25 mm louvred vents, 1500 W key-down on 3.5–3.6 MHz settles, outlet air 22–29 °F over 85–90 °F outside;
// shut and without fan the same transformer was good for about 600–800 W on 80 m at CW duty.
// The whole Monte Carlo with its ranges is printed by tests/bench/trade-observations.ts; this holds its conclusion.
import { describe, expect, it } from "vitest";
import { seededRandom } from "../../hardware/simulated/random.ts";
import { type Behaviour, behaviour, type Draw, drawBox, shutHolds, ventedHolds } from "../bench/trade-box.ts";

const DRAWS = 2000;

function tried(turns: number, keyed: boolean): { readonly draw: Draw; readonly seen: Behaviour }[] {
  const random = seededRandom(1);
  return Array.from({ length: DRAWS }, () => {
    const draw = drawBox(random);
    return { draw, seen: behaviour(draw, turns, keyed ? draw.morseDuty : 1) };
  });
}

const median = (values: number[]): number => values.sort((a, b) => a - b)[Math.floor(values.length / 2)]!;

describe("two observations of the trade (common practice, no source)", () => {
  const three = tried(3, false);
  const both = three.filter(({ seen }) => ventedHolds(seen) && shutHolds(seen));

  it("each holds by itself in part of the honest ranges with three turns", () => {
    expect(three.filter(({ seen }) => ventedHolds(seen)).length).toBeGreaterThan(0.03 * DRAWS);
    expect(three.filter(({ seen }) => shutHolds(seen)).length).toBeGreaterThan(0.1 * DRAWS);
  });

  it("hold together in a small corner: a core and load on the low side of their loss, and a fan well above half of free delivery", () => {
    expect(both.length).toBeGreaterThan(5);
    expect(both.length).toBeLessThan(0.1 * DRAWS);
    expect(median(both.map(({ draw }) => draw.lossRatio * draw.loadRatio))).toBeLessThan(0.9);
    expect(median(both.map(({ draw }) => draw.flowShare))).toBeGreaterThan(0.6);
    for (const { seen } of both) {
      expect(seen.coreCelsius).toBeGreaterThan(60);
      expect(seen.coreCelsius).toBeLessThan(130);
    }
  });

  it("cannot hold with two turns key-down: the core has no equilibrium there", () => {
    expect(tried(2, false).every(({ seen }) => seen.coreCelsius === null)).toBe(true);
  });

  it("most draws of three turns key-down run away, so the observation is not a rating", () => {
    expect(three.filter(({ seen }) => seen.coreCelsius === null).length).toBeGreaterThan(DRAWS / 2);
  });
});
