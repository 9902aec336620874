// Beginning again: never cold, never surer than before, and the same after JSON.

import { describe, expect, it } from "vitest";
import { advanceEstimator, beginEstimator, checkpointOf } from "../../../daemon/core/estimate/estimator.ts";
import { bad } from "../../../daemon/core/readings.ts";
import { beginScene, MODEL, playOn, wellInput } from "./scene.ts";

const hot = { coreCelsius: 85, wallCelsius: 30 };

describe("a hot restart", () => {
  it("works the core back from the outlet and never begins cold", () => {
    const scene = beginScene(hot);
    expect(scene.estimate.coreUncertaintyKelvin).toBeGreaterThanOrEqual(12);
    expect(Math.abs(scene.estimate.coreCelsius - hot.coreCelsius)).toBeLessThan(12);
    expect(scene.estimate.coreUpperCelsius).toBeGreaterThan(hot.coreCelsius);
    expect(scene.estimate.degraded).toContain("restarted");
  });

  it("holds the bound from the first second on and settles within two minutes", () => {
    let scene = beginScene(hot);
    for (let second = 0; second < 180; second++) {
      scene = playOn(scene, 1, { watts: 0 });
      expect(scene.estimate.coreUpperCelsius).toBeGreaterThan(scene.truth.coreCelsius);
    }
    expect(Math.abs(scene.estimate.coreCelsius - scene.truth.coreCelsius)).toBeLessThan(3);
    expect(scene.estimate.degraded).toEqual([]);
  });

  it("is not usable in its first instant and is a few seconds later", () => {
    expect(beginScene(hot).estimate.usable).toBe(false);
    expect(playOn(beginScene(hot), 5, { watts: 0 }).estimate.usable).toBe(true);
  });

  it("without an outlet assumes a hot core, not a cold one", () => {
    const blind = beginScene(hot, null, (input) => ({ ...input, outlet: bad("NACK") }));
    expect(blind.estimate.coreUpperCelsius).toBeGreaterThan(120);
  });

  it("after a gap of more than five minutes is what a step does", () => {
    const warm = playOn(beginScene(), 1200, { watts: 1000 });
    const input = wellInput(warm.seconds + 400, 400, warm.sensor, { watts: 0 });
    const after = advanceEstimator(MODEL, warm.state, input);
    expect(after.degraded).toContain("restarted");
    expect(after.vector).toEqual(beginEstimator(MODEL, input, null).vector);
  });
});

describe("a checkpoint", () => {
  const worn = playOn(playOn(beginScene(), 120, { watts: 0 }), 2400, { watts: 1000, flowFactor: 0.7 });
  const checkpoint = checkpointOf(worn.state);

  it("is plain JSON", () => {
    expect(JSON.parse(JSON.stringify(checkpoint))).toEqual(checkpoint);
  });

  it("brings back the vents and the loss of each band", () => {
    expect(checkpoint.flowFactor).toBeLessThan(0.8);
    const resumed = beginScene(worn.truth, { checkpoint, ageSeconds: 30 });
    expect(resumed.estimate.flowFactor).toBeCloseTo(checkpoint.flowFactor, 9);
    expect(checkpoint.bands.map(({ band }) => band)).toEqual(["80 m", "40 m"]);
  });

  it("never lets a core that was hot begin cold, even when the outlet looks cold", () => {
    const resumed = beginScene({ coreCelsius: 20, wallCelsius: 20 }, { checkpoint, ageSeconds: null });
    expect(resumed.estimate.coreCelsius).toBeGreaterThanOrEqual(checkpoint.coreCelsius);
    expect(resumed.estimate.coreUncertaintyKelvin).toBeGreaterThanOrEqual(12);
  });

  it("never lowers what the outlet says", () => {
    const cold = checkpointOf(playOn(beginScene(), 300, { watts: 0 }).state);
    const resumed = beginScene(hot, { checkpoint: cold, ageSeconds: 10 });
    const fresh = beginScene(hot);
    expect(resumed.estimate.coreCelsius).toBeGreaterThanOrEqual(fresh.estimate.coreCelsius);
  });

  it("of a band that the model no longer has is passed over", () => {
    const strange = { ...checkpoint, bands: [{ band: "6 m", lnKappa: 1, uncertainty: 0.1 }] };
    const resumed = beginScene(hot, { checkpoint: strange, ageSeconds: 10 });
    expect(resumed.estimate.coreCelsius).toBeGreaterThan(60);
    expect(checkpointOf(resumed.state).bands.map(({ band }) => band)).toEqual(["80 m", "40 m"]);
  });
});

describe("a step", () => {
  it("leaves the state it was given as it was", () => {
    const scene = playOn(beginScene(), 300, { watts: 1000 });
    const before = scene.state.vector.slice();
    advanceEstimator(MODEL, scene.state, wellInput(301, 1, scene.sensor + 1, { watts: 500 }));
    expect(scene.state.vector).toEqual(before);
  });

  it("gives the same from the same", () => {
    const scene = playOn(beginScene(), 300, { watts: 1000 });
    const input = wellInput(301, 1, scene.sensor, { watts: 1000 });
    const once = advanceEstimator(MODEL, scene.state, input);
    const again = advanceEstimator(MODEL, scene.state, input);
    expect(again.vector).toEqual(once.vector);
  });

  it("remembers the loss of a band that was left", () => {
    const eighty = playOn(beginScene(), 1800, { watts: 1200 });
    const away = playOn(eighty, 60, { watts: 1200 }, (input) => ({
      ...input,
      drive: input.drive === null ? null : { ...input.drive, frequencyHertz: 7.1e6 },
    }));
    const kept = checkpointOf(away.state).bands[0];
    expect(kept?.lnKappa).toBeCloseTo(checkpointOf(eighty.state).bands[0]!.lnKappa, 2);
    expect(away.state.bandIndex).toBe(1);
  });
});
