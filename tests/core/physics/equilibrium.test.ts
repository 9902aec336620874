// Where the box settles: the closed form, the passes and the forward run must agree with each other.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { boxConstantsOf, modelFromPriors } from "../../../daemon/core/estimate/model.ts";
import { type AirDrive, advanceBox } from "../../../daemon/core/physics/box.ts";
import { equilibrium, secondsUntil, steadyLossWatts } from "../../../daemon/core/physics/equilibrium.ts";

const box = boxConstantsOf(modelFromPriors({ bands: [], nominalRpm: 11_000 }));
const turning: AirDrive = { speedRatio: 1, flowFactor: 1 };

describe("equilibrium", () => {
  it("is where a long run ends, fan turning or stopped", () => {
    for (const [air, lossWatts] of [
      [turning, 60],
      [{ speedRatio: 0.4, flowFactor: 0.6 }, 40],
      [{ speedRatio: 0, flowFactor: 1 }, 12],
    ] as const) {
      const inputs = { inletCelsius: 20, sunWatts: 5, lossWatts };
      let at = { coreCelsius: 20, wallCelsius: 20 };
      for (let step = 0; step < 1000; step++) at = advanceBox(box, at, inputs, air, 30);
      const settled = equilibrium(box, inputs, air);
      expect(Math.abs(settled.coreCelsius - at.coreCelsius)).toBeLessThan(0.05);
      expect(Math.abs(settled.wallCelsius - at.wallCelsius)).toBeLessThan(0.05);
    }
  });

  it("gives back the heat that holds it", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 120, noNaN: true }),
        fc.double({ min: 0.2, max: 1.2, noNaN: true }),
        fc.double({ min: -20, max: 40, noNaN: true }),
        fc.boolean(),
        (lossWatts, flowFactor, inletCelsius, stopped) => {
          const air = { speedRatio: stopped ? 0 : 1, flowFactor };
          const settled = equilibrium(box, { inletCelsius, sunWatts: 3, lossWatts }, air);
          const back = steadyLossWatts(box, settled.coreCelsius, inletCelsius, 3, air);
          expect(Math.abs(back.lossWatts - lossWatts)).toBeLessThan(0.02 + 1e-3 * lossWatts);
        },
      ),
      { numRuns: 300, seed: 1 },
    );
  });

  it("without heat or sun is the inlet", () => {
    expect(equilibrium(box, { inletCelsius: 12, sunWatts: 0, lossWatts: 0 }, turning).coreCelsius).toBeCloseTo(12, 2);
  });
});

describe("time to a temperature", () => {
  const inputs = { inletCelsius: 20, sunWatts: 0, lossWatts: 70 };
  const from = { coreCelsius: 20, wallCelsius: 20 };

  it("agrees with running second by second", () => {
    const found = secondsUntil(box, from, inputs, turning, 7200, ({ coreCelsius }) => coreCelsius >= 80);
    let at = from;
    let seconds = 0;
    while (at.coreCelsius < 80) {
      at = advanceBox(box, at, inputs, turning, 1);
      seconds += 1;
    }
    expect(found).not.toBeNull();
    expect(Math.abs((found ?? 0) - seconds)).toBeLessThan(2);
  });

  it("is null when it never comes, 0 when it is there", () => {
    expect(secondsUntil(box, from, inputs, turning, 7200, ({ coreCelsius }) => coreCelsius >= 300)).toBeNull();
    expect(secondsUntil(box, from, inputs, turning, 7200, () => true)).toBe(0);
  });
});
