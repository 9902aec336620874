// The thermal network: heat in equals heat out plus heat kept, more air cools, more heat warms, steps of any length agree.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { boxConstantsOf, modelFromPriors } from "../../../daemon/core/estimate/model.ts";
import {
  advanceBox,
  airCelsiusAt,
  type BoxConstants,
  conductancesAt,
  exponentialStep,
  lineariseBox,
} from "../../../daemon/core/physics/box.ts";

const middle = boxConstantsOf(modelFromPriors({ bands: [], nominalRpm: 11_000 }));

/** Boxes around the priors' medians, each constant by a factor of up to 1.5 either way. */
const boxes = fc
  .array(fc.double({ min: -1, max: 1, noNaN: true }), { minLength: 12, maxLength: 12 })
  .map((powers) =>
    Object.fromEntries(Object.entries(middle).map(([name, value], index) => [name, value * 1.5 ** powers[index]!])),
  ) as fc.Arbitrary<BoxConstants>;
const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });

describe("conductances", () => {
  /** Everything at one temperature, clean vents, nominal speed. */
  const evenly = (celsius: number) =>
    conductancesAt(middle, { coreCelsius: celsius, wallCelsius: celsius }, celsius, { speedRatio: 1, flowFactor: 1 });

  it("at nominal flow and 30 °C at the fan are the constants, but for natural convection blended in", () => {
    const g = evenly(30);
    expect(g.airHeatFlow).toBeCloseTo(middle.airHeatFlowWattsPerKelvin, 9);
    expect(g.coreToAir).toBeGreaterThan(middle.coreToAirWattsPerKelvin);
    expect(g.coreToAir).toBeLessThan(1.01 * middle.coreToAirWattsPerKelvin);
  });

  it("carry less heat in warmer air, because the fan moves a volume", () => {
    const cold = evenly(-10).airHeatFlow;
    const warm = evenly(40).airHeatFlow;
    expect(cold / warm).toBeCloseTo(313.15 / 263.15, 9);
  });

  it("with the fan stopped are those of buoyancy", () => {
    const g = conductancesAt(middle, { coreCelsius: 120, wallCelsius: 40 }, 0, { speedRatio: 0, flowFactor: 1 });
    expect(g.stopped).toBe(true);
    // Core 120 K over the inlet: 90 K over its air, and the air 30 K over the inlet.
    expect(g.coreToAir).toBeCloseTo(middle.coreToAirFanOffWattsPerKelvin * (90 / 70) ** 0.25, 9);
    expect(g.airHeatFlow).toBeCloseTo(middle.airHeatFlowFanOffWattsPerKelvin, 9);
  });
});

describe("heat balance", () => {
  it("closes to 0.1 % over any run", () => {
    fc.assert(
      fc.property(
        boxes,
        between(0, 90),
        between(0.3, 1.2),
        between(0.4, 1),
        between(-20, 40),
        fc.boolean(),
        (box, lossWatts, speedRatio, flowFactor, inletCelsius, stopped) => {
          const air = { speedRatio: stopped ? 0 : speedRatio, flowFactor };
          const inputs = { inletCelsius, sunWatts: 4, lossWatts };
          let at = { coreCelsius: inletCelsius + 5, wallCelsius: inletCelsius };
          const begun = at;
          let outJoules = 0;
          const dt = 0.5;
          for (let step = 0; step < 1200; step++) {
            const outgoing = (now: typeof at): number => {
              const { coreCelsius, wallCelsius } = now;
              const g = conductancesAt(box, now, inletCelsius, air);
              const leaving = airCelsiusAt(g, coreCelsius, wallCelsius, inletCelsius);
              const through = box.wallToOutsideWattsPerKelvin * (wallCelsius - inletCelsius);
              return g.airHeatFlow * (leaving - inletCelsius) + through;
            };
            const next = advanceBox(box, at, inputs, air, dt);
            outJoules += 0.5 * dt * (outgoing(at) + outgoing(next));
            at = next;
          }
          const inJoules = 600 * (lossWatts + inputs.sunWatts);
          const keptJoules =
            box.coreHeatCapacityJoulesPerKelvin * (at.coreCelsius - begun.coreCelsius) +
            box.wallHeatCapacityJoulesPerKelvin * (at.wallCelsius - begun.wallCelsius);
          const turnover = Math.max(inJoules, Math.abs(outJoules), Math.abs(keptJoules));
          expect(Math.abs(inJoules - outJoules - keptJoules)).toBeLessThan(0.001 * turnover);
        },
      ),
      { numRuns: 60, seed: 1 },
    );
  });
});

describe("what acts on the core", () => {
  const coreAfter = (box: BoxConstants, lossWatts: number, flowFactor: number, seconds: number): number => {
    let at = { coreCelsius: 20, wallCelsius: 20 };
    const inputs = { inletCelsius: 20, sunWatts: 0, lossWatts };
    for (let gone = 0; gone < seconds; gone += 20) at = advanceBox(box, at, inputs, { speedRatio: 1, flowFactor }, 20);
    return at.coreCelsius;
  };

  it("more air never makes a hotter core", () => {
    fc.assert(
      fc.property(
        boxes,
        between(1, 90),
        between(0.2, 1.2),
        between(0, 0.5),
        between(60, 4000),
        (box, loss, flow, more, s) => {
          expect(coreAfter(box, loss, flow + more, s)).toBeLessThanOrEqual(coreAfter(box, loss, flow, s) + 1e-9);
        },
      ),
      { numRuns: 100, seed: 2 },
    );
  });

  it("more heat never makes a cooler one", () => {
    fc.assert(
      fc.property(
        boxes,
        between(0, 90),
        between(0, 40),
        between(0.2, 1.2),
        between(60, 4000),
        (box, loss, more, flow, s) => {
          expect(coreAfter(box, loss + more, flow, s)).toBeGreaterThanOrEqual(coreAfter(box, loss, flow, s) - 1e-9);
        },
      ),
      { numRuns: 100, seed: 3 },
    );
  });
});

describe("steps", () => {
  it("of one second and of twenty end at the same place", () => {
    const run = (dt: number): number => {
      let at = { coreCelsius: 20, wallCelsius: 20 };
      const inputs = { inletCelsius: 20, sunWatts: 0, lossWatts: 60 };
      for (let gone = 0; gone < 1200; gone += dt)
        at = advanceBox(middle, at, inputs, { speedRatio: 1, flowFactor: 1 }, dt);
      return at.coreCelsius;
    };
    expect(run(1)).toBeGreaterThan(60);
    expect(Math.abs(run(20) - run(1))).toBeLessThan(0.02);
  });

  it("are stable however long", () => {
    const far = advanceBox(
      middle,
      { coreCelsius: 150, wallCelsius: 60 },
      { inletCelsius: 20, sunWatts: 0, lossWatts: 0 },
      { speedRatio: 1, flowFactor: 1 },
      1e6,
    );
    expect(far.coreCelsius).toBeGreaterThan(10);
    expect(far.coreCelsius).toBeLessThan(30);
  });

  it("φ₁ of a vanishing step is the identity", () => {
    const line = lineariseBox(
      middle,
      { coreCelsius: 80, wallCelsius: 30 },
      { inletCelsius: 20, sunWatts: 0, lossWatts: 60 },
      { speedRatio: 1, flowFactor: 1 },
    );
    const { p, q } = exponentialStep(line, 1e-12);
    expect(p).toBeCloseTo(1, 6);
    expect(Math.abs(q)).toBeLessThan(1e-6);
  });
});
