// The core by drive alone: it settles where the network settles, stands still where it must, and needs a known drive.

import { describe, expect, it } from "vitest";
import { boxConstantsOf } from "../../../daemon/core/estimate/model.ts";
import { steadyLossWatts } from "../../../daemon/core/physics/equilibrium.ts";
import { type ForwardRun, runForward } from "../../../daemon/core/protect/forward-run.ts";
import { bad, good, type Readings } from "../../../daemon/core/readings.ts";
import { FAN, MODEL, READINGS } from "./fixtures.ts";

const box = boxConstantsOf(MODEL);
const driven = (watts: number, part: Partial<Readings> = {}): Readings => ({
  ...READINGS,
  drive: { watts: good(watts), frequencyHertz: 3.6e6, mode: "CW", transmitting: watts > 0 },
  ...part,
});

function over(seconds: number, readings: Readings, turning: boolean | null = true, every = 1): ForwardRun | null {
  let run: ForwardRun | null = null;
  for (let now = 0; now <= seconds; now += every) {
    run = runForward(MODEL, box, run, readings, turning, 20, every, now);
  }
  return run;
}

describe("the run by drive alone", () => {
  it.each([
    [true, { speedRatio: 1, flowFactor: 1 }, 800],
    [false, { speedRatio: 0, flowFactor: 1 }, 200],
  ])("settles where the heat is carried away (fan turning %s)", (turning, air, watts) => {
    const run = over(6 * 3600, driven(watts), turning, 5);
    const loss = watts * MODEL.bands[0]!.lossFraction;
    expect(steadyLossWatts(box, run!.coreCelsius, 20, 0, air).lossWatts / loss).toBeCloseTo(1, 2);
  });

  it("does not care how often it is asked", () => {
    const often = over(600, driven(1000), true, 1);
    const seldom = over(600, driven(1000), true, 60);
    expect(Math.abs(often!.coreCelsius - seldom!.coreCelsius)).toBeLessThan(0.5);
  });

  it("takes no notice of the outlet", () => {
    expect(over(900, driven(1000, { outlet: good(20) }))).toEqual(over(900, driven(1000, { outlet: bad("NACK") })));
  });

  it("goes on with the last inlet", () => {
    const run = over(300, driven(500));
    const next = runForward(MODEL, box, run, driven(500, { inlet: bad("NACK") }), true, 20, 1, 301);
    expect(next?.inletCelsius).toBe(20);
  });

  it("takes the worst band when the band is not known", () => {
    const unknown = { watts: good(500), frequencyHertz: null, mode: null, transmitting: true };
    expect(over(300, { ...READINGS, drive: unknown })!.coreCelsius).toBeCloseTo(over(300, driven(500))!.coreCelsius, 6);
  });

  it("is nothing while the drive is not known, and begins anew after a long gap", () => {
    expect(over(10, { ...READINGS, drive: null })).toBeNull();
    const lost = { watts: bad("NACK"), frequencyHertz: null, mode: null, transmitting: null };
    expect(over(10, { ...READINGS, drive: lost })).toBeNull();
    const run = over(900, driven(1000));
    expect(runForward(MODEL, box, run, driven(1000), true, 33, 5000, 9000)).toMatchObject({
      coreCelsius: 33,
      sinceSeconds: 9000,
    });
  });

  it("takes the air as driven while nobody can tell, and never leaves the range of a core", () => {
    expect(over(600, driven(800, { fan: { ...FAN, rpm: bad("NACK") } }), null)).toEqual(over(600, driven(800)));
    expect(over(36_000, driven(90_000), false, 10)!.coreCelsius).toBeLessThanOrEqual(400);
  });
});
