// What the estimator does without a sensor: it says so, widens, and never promises less heat than with it.

import { describe, expect, it } from "vitest";
import type { Degradation } from "../../../daemon/core/estimate/estimate.ts";
import type { EstimatorInput } from "../../../daemon/core/estimate/estimator.ts";
import { bad, good, suspect } from "../../../daemon/core/readings.ts";
import { beginScene, playOn, type Scene } from "./scene.ts";

const keyed = { watts: 1000 };
const warm = playOn(playOn(beginScene(), 200, { watts: 0 }), 900, keyed);

type Spoil = (input: EstimatorInput) => EstimatorInput;
const lost = bad("TIMEOUT");
const WITHOUT: readonly { readonly name: Degradation; readonly spoil: Spoil }[] = [
  { name: "no inlet", spoil: (input) => ({ ...input, inlet: lost, ambient: null }) },
  { name: "no outlet", spoil: (input) => ({ ...input, outlet: lost }) },
  { name: "no tach", spoil: (input) => ({ ...input, fan: { rpm: null, turning: null } }) },
  { name: "drive unknown", spoil: (input) => ({ ...input, drive: null }) },
];

const width = ({ estimate }: Scene): number => estimate.coreUpperCelsius - estimate.coreCelsius;

describe("with every sensor", () => {
  it("nothing is degraded, the estimate is usable and near the truth", () => {
    expect(warm.estimate.degraded).toEqual([]);
    expect(warm.estimate.usable).toBe(true);
    expect(Math.abs(warm.estimate.coreCelsius - warm.truth.coreCelsius)).toBeLessThan(1);
    expect(warm.estimate.coreUpperCelsius).toBeGreaterThan(warm.truth.coreCelsius);
    expect(warm.estimate.lossFactor).toBeCloseTo(1, 1);
  });
});

describe.each(WITHOUT)("$name", ({ name, spoil }) => {
  it("is said, and only that", () => {
    expect(playOn(warm, 60, keyed, spoil).estimate.degraded).toEqual([name]);
  });

  it("widens the bound, and the longer the more, while the truth goes on", () => {
    const well = playOn(warm, 600, keyed);
    const without = playOn(warm, 600, keyed, spoil);
    expect(without.estimate.coreUpperCelsius).toBeGreaterThan(well.estimate.coreUpperCelsius);
    expect(without.estimate.coreUpperCelsius).toBeGreaterThan(without.truth.coreCelsius);
  });

  it("is forgotten some minutes after the sensor came back", () => {
    const back = playOn(playOn(warm, 120, keyed, spoil), 600, keyed);
    const well = playOn(warm, 720, keyed);
    expect(back.estimate.degraded).toEqual([]);
    expect(Math.abs(back.estimate.coreCelsius - well.estimate.coreCelsius)).toBeLessThan(1.5);
    expect(width(back)).toBeLessThan(width(well) + 2);
  });

  it("still holds the bound through an over and a pause", () => {
    let scene = warm;
    let held = 0;
    for (let over = 0; over < 120; over++) {
      scene = playOn(scene, 10, { watts: over % 12 < 6 ? 1400 : 0 }, spoil);
      if (scene.estimate.coreUpperCelsius >= scene.truth.coreCelsius) held += 1;
    }
    expect(held).toBe(120);
  });
});

describe("no data", () => {
  const blind: Spoil = (input) => ({ ...input, inlet: lost, outlet: lost, ambient: null });

  it("is not usable once both thermometers have been away for half a minute", () => {
    expect(playOn(warm, 20, keyed, blind).estimate.usable).toBe(true);
    const later = playOn(warm, 40, keyed, blind);
    expect(later.estimate.degraded).toContain("no data");
    expect(later.estimate.usable).toBe(false);
  });

  it("is not usable when neither outlet nor drive is there", () => {
    const neither: Spoil = (input) => ({ ...input, outlet: lost, drive: null });
    expect(playOn(warm, 40, keyed, neither).estimate.usable).toBe(false);
  });
});

describe("the inlet", () => {
  it("follows the ambient sensor while it is missing", () => {
    const falling = (second: number) => ({ watts: 1000, inlet: 20 - Math.max(second - warm.seconds, 0) / 1200 });
    const led = playOn(warm, 1500, falling, (input) => ({ ...input, inlet: lost }));
    const blind = playOn(warm, 1500, falling, (input) => ({ ...input, inlet: lost, ambient: null }));
    expect(Math.abs(led.estimate.coreCelsius - led.truth.coreCelsius)).toBeLessThan(1);
    expect(Math.abs(led.estimate.coreCelsius - led.truth.coreCelsius)).toBeLessThan(
      Math.abs(blind.estimate.coreCelsius - blind.truth.coreCelsius),
    );
    expect(led.estimate.coreUpperCelsius).toBeGreaterThan(led.truth.coreCelsius);
    expect(blind.estimate.coreUpperCelsius).toBeGreaterThan(blind.truth.coreCelsius);
  });
});

describe("the fan stopped", () => {
  const stalled = playOn(warm, 300, { ...keyed, rpm: 0 });

  it("is said, and the core is followed by the network", () => {
    expect(stalled.estimate.degraded).toEqual(["fan stopped"]);
    expect(stalled.truth.coreCelsius).toBeGreaterThan(warm.truth.coreCelsius + 15);
    expect(Math.abs(stalled.estimate.coreCelsius - stalled.truth.coreCelsius)).toBeLessThan(4);
    expect(stalled.estimate.coreUpperCelsius).toBeGreaterThan(stalled.truth.coreCelsius);
  });

  it("holds without a drive too, at the recent pace", () => {
    const unknown: Spoil = (input) => ({ ...input, drive: null });
    const before = playOn(playOn(beginScene(), 200, { watts: 0 }, unknown), 900, keyed, unknown);
    const after = playOn(before, 300, { ...keyed, rpm: 0 }, unknown);
    expect(Math.abs(after.estimate.coreCelsius - after.truth.coreCelsius)).toBeLessThan(6);
    expect(after.estimate.coreUpperCelsius).toBeGreaterThan(after.truth.coreCelsius);
  });

  it("comes back without a jump when it turns again", () => {
    const again = playOn(stalled, 120, keyed);
    expect(Math.abs(again.estimate.coreCelsius - again.truth.coreCelsius)).toBeLessThan(3);
  });

  it("is not believed stopped when the lead is quiet but the fan was found turning", () => {
    const scene = playOn(warm, 60, keyed, (input) => ({ ...input, fan: { rpm: 0, turning: true } }));
    expect(scene.estimate.degraded).toEqual(["no tach"]);
  });
});

describe("vents half blocked", () => {
  it("are seen in the flow factor within a minute, drive known", () => {
    const blocked = playOn(warm, 90, { ...keyed, flowFactor: 0.5 });
    expect(blocked.estimate.flowFactor).toBeLessThan(0.8);
    const later = playOn(blocked, 900, { ...keyed, flowFactor: 0.5 });
    expect(Math.abs(later.estimate.flowFactor - 0.5)).toBeLessThan(0.08);
    expect(Math.abs(later.estimate.coreCelsius - later.truth.coreCelsius)).toBeLessThan(2);
  });

  it("read as more heat, never as less, drive unknown", () => {
    const unknown: Spoil = (input) => ({ ...input, drive: null });
    const blocked = playOn(playOn(warm, 300, keyed, unknown), 900, { ...keyed, flowFactor: 0.5 }, unknown);
    expect(blocked.estimate.coreCelsius).toBeGreaterThan(blocked.truth.coreCelsius - 2);
  });

  it("make the two filters disagree", () => {
    const blocked = playOn(warm, 900, { ...keyed, flowFactor: 0.5 });
    expect(Math.abs(warm.estimate.disagreementKelvin ?? 99)).toBeLessThan(2);
    expect(blocked.estimate.disagreementKelvin).toBeLessThan(-4);
  });
});

describe("a reading", () => {
  it("that is suspect moves the estimate less than a good one", () => {
    const off = (reading: (value: number) => EstimatorInput["outlet"]): number =>
      playOn(warm, 5, keyed, (input) => ({ ...input, outlet: reading((input.outlet?.value ?? 0) + 3) })).estimate
        .coreCelsius - playOn(warm, 5, keyed).estimate.coreCelsius;
    const byGood = off(good);
    const bySuspect = off((value) => suspect(value, "STUCK"));
    expect(byGood).toBeGreaterThan(0.3);
    expect(bySuspect).toBeGreaterThan(0);
    expect(bySuspect).toBeLessThan(0.7 * byGood);
  });

  it("of the core right after a restart narrows the bound", () => {
    const restarted = beginScene({ coreCelsius: 85, wallCelsius: 30 });
    const spot = playOn(restarted, 1, keyed, (input) => ({ ...input, core: good(86) }));
    const without = playOn(restarted, 1, keyed);
    expect(spot.estimate.coreUncertaintyKelvin).toBeLessThan(0.5 * without.estimate.coreUncertaintyKelvin);
    expect(Math.abs(spot.estimate.coreCelsius - 85)).toBeLessThan(3);
  });

  it("of the core pulls the estimate towards it", () => {
    const spot = playOn(warm, 1, keyed, (input) => ({ ...input, core: good(warm.truth.coreCelsius + 6) }));
    const without = playOn(warm, 1, keyed);
    expect(spot.estimate.coreCelsius).toBeGreaterThan(without.estimate.coreCelsius);
  });

  it("of a probe that errs the same every second does not drown the rest", () => {
    const probe = playOn(warm, 120, keyed, (input) => ({ ...input, core: good(warm.truth.coreCelsius + 8) }));
    expect(probe.estimate.coreCelsius - probe.truth.coreCelsius).toBeLessThan(6);
  });
});
