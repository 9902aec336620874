// The process safety time against an independent integrator of the same network and against the adiabatic bound.

import { createRequire } from "node:module";
import { describe, expect, it } from "vitest";
import { boxConstantsOf, type Model } from "../../../daemon/core/estimate/model.ts";
import { conductancesAt } from "../../../daemon/core/physics/box.ts";
import { steadyLossWatts } from "../../../daemon/core/physics/equilibrium.ts";
import { processSafetySeconds } from "../../../daemon/core/protect/process-safety.ts";
import { limitsBelow } from "../../../daemon/core/protect/settings.ts";
import { MODEL, programWith, SETTINGS } from "./fixtures.ts";

type Rates = (at: number, y: readonly number[]) => number[];
/** The package ships TypeScript sources that this project's compiler settings refuse, so it is loaded without its types. */
const { Solver } = createRequire(import.meta.url)("odex") as {
  Solver: new (size: number) => { solve(rates: Rates, from: number, y: number[], to: number): { y: number[] } };
};

const LOSS_FRACTION = 0.06;

/** Nothing uncertain, so that the other side of the comparison is plain. */
const CERTAIN: Model = {
  ...MODEL,
  constants: Object.fromEntries(
    Object.entries(MODEL.constants).map(([name, { value }]) => [name, { value, uncertaintyRatio: 0 }]),
  ) as Model["constants"],
  bands: MODEL.bands.map((band) => ({ ...band, kappa: 1, kappaUncertainty: 0 })),
};

/** Heat balances of core and wall written out here, integrated by Gragg–Bulirsch–Stoer (odex). */
function reference(driveWatts: number, tripCelsius: number, curieCelsius: number): number {
  const box = boxConstantsOf(CERTAIN);
  const inlet = 40;
  const wall = steadyLossWatts(box, tripCelsius, inlet, 0, { speedRatio: 1, flowFactor: 1 }).wallCelsius;
  let before = 0;
  let high = 3600;
  const coreAt = (seconds: number): number => {
    const rates: Rates = (_, [core, shell]) => {
      const g = conductancesAt(box, { coreCelsius: core!, wallCelsius: shell! }, inlet, {
        speedRatio: 0,
        flowFactor: 1,
      });
      const air =
        (g.airHeatFlow * inlet + g.coreToAir * core! + g.airToWall * shell!) /
        (g.airHeatFlow + g.coreToAir + g.airToWall);
      const radiated = g.coreToWall * (core! - shell!);
      const coreHeat = driveWatts * LOSS_FRACTION - g.coreToAir * (core! - air) - radiated;
      const wallHeat = radiated + g.airToWall * (air - shell!) - box.wallToOutsideWattsPerKelvin * (shell! - inlet);
      return [coreHeat / box.coreHeatCapacityJoulesPerKelvin, wallHeat / box.wallHeatCapacityJoulesPerKelvin];
    };
    return new Solver(2).solve(rates, 0, [tripCelsius, wall], seconds).y[0]!;
  };
  for (let pass = 0; pass < 40; pass += 1) {
    const middle = (before + high) / 2;
    if (coreAt(middle) >= curieCelsius) high = middle;
    else before = middle;
  }
  return high;
}

describe("the process safety time", () => {
  it.each([
    [1500, 110, 130],
    [800, 100, 130],
    [3000, 90, 120],
  ])("at %d W from %d to %d °C agrees with an ODE solver", (drive, trip, curie) => {
    const seconds = processSafetySeconds(CERTAIN, drive, trip, curie);
    expect(seconds).not.toBeNull();
    expect(seconds! / reference(drive, trip, curie)).toBeCloseTo(1, 2);
  });

  it("is never shorter than all the loss would need to heat the core alone", () => {
    const heat = CERTAIN.constants.coreHeatCapacityJoulesPerKelvin.value * 20;
    for (const drive of [500, 1000, 1500, 20_000]) {
      const seconds = processSafetySeconds(CERTAIN, drive, 110, 130);
      if (seconds !== null) expect(seconds).toBeGreaterThanOrEqual(heat / (drive * LOSS_FRACTION));
    }
    // At a drive so large that nothing has time to leave, it is that time.
    expect(processSafetySeconds(CERTAIN, 20_000, 110, 130)! / (heat / (20_000 * LOSS_FRACTION))).toBeCloseTo(1, 1);
  });

  it("stands on the unsafe side of what is uncertain", () => {
    const sure = processSafetySeconds(CERTAIN, 1500, 110, 130);
    const unsure = processSafetySeconds(MODEL, 1500, 110, 130);
    expect(unsure).toBeLessThan(sure!);
  });

  it("is nothing to hurry for when the core never gets there", () => {
    expect(processSafetySeconds(CERTAIN, 50, 110, 130)).toBeNull();
  });

  it("warns when the margin against detection and relay is below three", () => {
    const cold = programWith();
    expect(cold.warnings).toEqual([]);
    expect(cold.processSafetySeconds! / cold.plannedReactionSeconds!).toBeGreaterThan(3);
    const slow = programWith({
      fan: { ...SETTINGS.fan, stallSeconds: 20 },
      limits: { ...limitsBelow(110), curieCelsius: 130 },
    });
    expect(slow.warnings.join()).toMatch(/less than 3 times the 21\.0 s/);
  });

  it("warns of what is not known", () => {
    expect(programWith({ fan: null, fullDriveWatts: null }).warnings).toHaveLength(2);
    expect(programWith({ limits: { ...SETTINGS.limits, curieCelsius: 115 } }).warnings.join()).toMatch(
      /less than 10 K/,
    );
  });
});
