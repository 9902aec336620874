// The network's steps against an independent solver of ordinary differential equations: odex (npm, a port of Hairer and Wanner's ODEX,
// extrapolation of the midpoint rule). The slopes are written out here once more from the equations, not taken from the network's code.

import { Solver } from "odex";
import { describe, expect, it } from "vitest";
import { boxConstantsOf, modelFromPriors } from "../../daemon/core/estimate/model.ts";
import { advanceBox, type BoxConstants } from "../../daemon/core/physics/box.ts";

const box = boxConstantsOf(modelFromPriors({ bands: [], nominalRpm: 11_000 }));

type Air = { readonly speedRatio: number; readonly flowFactor: number };

/** dT/dt of core and wall from the equations of the network, conductances at every instant. */
function slopes(
  b: BoxConstants,
  air: Air,
  inlet: number,
  sun: number,
  loss: number,
  core: number,
  wall: number,
): [number, number] {
  const a = core + 273.15;
  const w = wall + 273.15;
  const g = (b.coreToWallWattsPerKelvin * (a + w) * (a * a + w * w)) / 1.723e8;
  const natural = b.coreToAirFanOffWattsPerKelvin * (Math.max(0.75 * (core - inlet), 1) / 70) ** 0.25;
  let u = natural;
  let wallFilm = b.airToWallFanOffWattsPerKelvin;
  let c = b.airHeatFlowFanOffWattsPerKelvin * air.flowFactor * Math.sqrt(Math.max(0.25 * (core - inlet), 0.5) / 30);
  if (air.speedRatio > 0.15) {
    const f = air.speedRatio * air.flowFactor;
    u = Math.cbrt((b.coreToAirWattsPerKelvin * f ** 0.6) ** 3 + natural ** 3);
    wallFilm = Math.cbrt((b.airToWallWattsPerKelvin * f ** 0.6) ** 3 + b.airToWallFanOffWattsPerKelvin ** 3);
    const thick = b.airHeatFlowWattsPerKelvin * f;
    const leaving = (thick * inlet + u * core + wallFilm * wall) / (thick + u + wallFilm);
    c = (thick * 303.15) / (leaving + 273.15);
  }
  const stream = (c * inlet + u * core + wallFilm * wall) / (c + u + wallFilm);
  return [
    (loss - u * (core - stream) - g * (core - wall)) / b.coreHeatCapacityJoulesPerKelvin,
    (g * (core - wall) + wallFilm * (stream - wall) - b.wallToOutsideWattsPerKelvin * (wall - inlet) + sun) /
      b.wallHeatCapacityJoulesPerKelvin,
  ];
}

function byOdex(air: Air, inlet: number, sun: number, loss: number, from: [number, number], seconds: number): number[] {
  const solver = new Solver(2);
  solver.absoluteTolerance = 1e-10;
  solver.relativeTolerance = 1e-10;
  const result = solver.solve((_x, y) => slopes(box, air, inlet, sun, loss, y[0]!, y[1]!), 0, [...from], seconds);
  expect(result.outcome).toBe(0);
  return result.y;
}

function bySteps(
  air: Air,
  inlet: number,
  sun: number,
  loss: number,
  from: [number, number],
  seconds: number,
  dt: number,
): number[] {
  let at = { coreCelsius: from[0], wallCelsius: from[1] };
  for (let gone = 0; gone < seconds; gone += dt) {
    at = advanceBox(box, at, { inletCelsius: inlet, sunWatts: sun, lossWatts: loss }, air, dt);
  }
  return [at.coreCelsius, at.wallCelsius];
}

const CASES = [
  {
    name: "key-down with the fan at nominal speed",
    air: { speedRatio: 1, flowFactor: 1 },
    loss: 74,
    from: [20, 20],
    seconds: 1800,
  },
  { name: "cool-down from 120 °C", air: { speedRatio: 1, flowFactor: 1 }, loss: 0, from: [120, 45], seconds: 1800 },
  {
    name: "half the flow at half the speed",
    air: { speedRatio: 0.5, flowFactor: 0.5 },
    loss: 40,
    from: [30, 25],
    seconds: 1800,
  },
  { name: "fan stopped", air: { speedRatio: 0, flowFactor: 1 }, loss: 34, from: [60, 30], seconds: 900 },
] as const;

describe("the network's steps against odex", () => {
  it.each(CASES)("$name", ({ air, loss, from, seconds }) => {
    const truth = byOdex(air, 20, 3, loss, [from[0], from[1]], seconds);
    expect(Math.abs(truth[0]! - from[0])).toBeGreaterThan(15);
    for (const [dt, allowed] of [
      [1, 0.01],
      [10, 0.05],
      [60, 0.6],
    ] as const) {
      const found = bySteps(air, 20, 3, loss, [from[0], from[1]], seconds, dt);
      expect(Math.abs(found[0]! - truth[0]!), `core, steps of ${dt} s`).toBeLessThan(allowed);
      expect(Math.abs(found[1]! - truth[1]!), `wall, steps of ${dt} s`).toBeLessThan(allowed);
    }
  });
});
