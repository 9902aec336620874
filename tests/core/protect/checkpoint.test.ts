// Checkpoints: whatever a disk hands back is either a checkpoint or nothing.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { UNLEARNED_SPEED } from "../../../daemon/core/protect/fan-speed.ts";
import {
  beginState,
  type Checkpoint,
  checkpointState,
  defineProgram,
  parseCheckpoint,
  step,
} from "../../../daemon/core/step.ts";
import { MODEL, programWith, READINGS, SETTINGS } from "./fixtures.ts";

// The same histories every time: a failure is found once and then for everybody.
fc.configureGlobal({ seed: 8373 });

const program = programWith();
/** Without a relay, whose lines this test does not drive. */
const readings = { ...READINGS, relay: null };
const made: Checkpoint = (() => {
  let state = beginState(program, null, 0);
  for (let second = 1; second < 60; second += 1) ({ state } = step(program, state, readings, [], second));
  const command = {
    id: "1",
    by: "op",
    from: "test",
    action: { kind: "shelve", tag: "fan_slow", seconds: 600 },
  } as const;
  ({ state } = step(program, state, readings, [command], 60));
  return checkpointState(program, state);
})();

describe("a checkpoint", () => {
  it("comes back from JSON as it was", () => {
    expect(parseCheckpoint(JSON.parse(JSON.stringify(made)))).toEqual(made);
    expect(made.alarms).toEqual([
      { tag: "fan_slow", state: "shelved", held: false, latched: false, shelvedSeconds: 600 },
    ]);
    expect(made.estimator?.coreCelsius).toBeGreaterThan(0);
  });

  it.each([null, undefined, 3, "checkpoint", [], {}, { ...made, version: 2 }, { ...made, tripped: "no" }])(
    "is nothing when it is %j",
    (value) => {
      expect(parseCheckpoint(value)).toBeNull();
    },
  );

  it.each<[keyof Checkpoint, unknown, unknown]>([
    ["wallSeconds", "today", null],
    ["estimator", { version: 1 }, null],
    ["estimator", { ...made.estimator, coreCelsius: null }, null],
    ["estimator", { ...made.estimator, bands: [{ band: 80 }] }, null],
    ["modelMark", 7, null],
    ["fanMark", {}, null],
    ["tripCauses", null, 0],
    ["alarms", [{ tag: "x", state: "loud", held: false, shelvedSeconds: null }, null, ...made.alarms], made.alarms],
    ["alarms", "none", []],
    ["fan", { ...made.fan, covariance: [1, 2] }, UNLEARNED_SPEED],
    ["fan", null, UNLEARNED_SPEED],
    ["fanOffSeconds", true, null],
    ["proofLastWallSeconds", [], null],
  ])("keeps all but its %s when that is %j", (key, value, kept) => {
    expect(parseCheckpoint({ ...made, tripped: true, [key]: value })).toEqual({ ...made, tripped: true, [key]: kept });
  });

  it("begins a program whatever was lost of it, and never forgets the trip", () => {
    const keys = Object.keys(made) as (keyof Checkpoint)[];
    fc.assert(
      fc.property(fc.constantFrom(...keys), fc.anything(), (key, value) => {
        const parsed = parseCheckpoint({ ...made, tripped: true, [key]: value });
        const permits = step(program, beginState(program, parsed, 0), readings, [], 1).effects.permits;
        if (key !== "tripped" && key !== "version") expect(permits).toEqual({ reduce: false, inhibit: false });
      }),
    );
  });

  it("of alarms that are no longer on the list is passed over", () => {
    const old = {
      tag: "retired_alarm",
      state: "unacknowledged",
      held: true,
      latched: false,
      shelvedSeconds: null,
    } as const;
    const begun = beginState(program, { ...made, alarms: [old] }, 0);
    expect(step(program, begun, readings, [], 1).effects.outlook.alarms).toEqual([]);
  });
});

describe("a checkpoint of another feedpoint", () => {
  /** A heat run has found the loss of every band, well known. */
  const found = { ...MODEL, bands: MODEL.bands.map((band) => ({ ...band, kappa: 1.4, kappaUncertainty: 0.05 })) };
  const worn: Checkpoint = {
    ...made,
    tripped: true,
    estimator: {
      ...made.estimator!,
      coreCelsius: 90,
      flowFactor: 0.6,
      flowFactorUncertainty: 0.05,
      bands: MODEL.bands.map(({ band }) => ({ band, lnKappa: 0, uncertainty: 0.1 })),
    },
  };
  const resumed = (checkpoint: Checkpoint, into = defineProgram(found, SETTINGS)) => {
    const { state, effects } = step(into, beginState(into, checkpoint, 0), readings, [], 1);
    return { kept: checkpointState(into, state), estimate: effects.outlook.estimate };
  };

  it("does not overwrite what a heat run found, and leaves core, vents and trip as they were", () => {
    const { kept, estimate } = resumed(worn);
    for (const { lnKappa, uncertainty } of kept.estimator!.bands) {
      expect(lnKappa).toBeCloseTo(Math.log(1.4), 2);
      expect(uncertainty).toBeCloseTo(0.05, 2);
    }
    expect(estimate.coreCelsius).toBeGreaterThan(85);
    expect(estimate.flowFactor).toBeCloseTo(0.6, 2);
    expect(estimate.flowFactorUncertainty).toBeGreaterThan(0.2);
    expect(kept).toMatchObject({ tripped: true, modelMark: defineProgram(found, SETTINGS).modelMark });
  });

  it("does not make vents look wider than the model has them", () => {
    const wide = { ...worn, estimator: { ...worn.estimator!, flowFactor: 1.5 } };
    expect(resumed(wide).estimate.flowFactor).toBeCloseTo(1, 2);
  });

  it("of the same model goes on as before", () => {
    const { kept } = resumed(worn, program);
    for (const { lnKappa } of kept.estimator!.bands) expect(lnKappa).toBeCloseTo(0, 2);
    expect(kept.estimator?.flowFactorUncertainty).toBeCloseTo(0.05, 2);
  });

  it("that names no model, as before models were named, is of another", () => {
    expect(resumed({ ...worn, modelMark: null }, program).kept.estimator?.flowFactorUncertainty).toBeGreaterThan(0.2);
  });

  it("brings no learned speed of a fan with another plate", () => {
    const learned = { ...made.fan, learnedSeconds: 9_000 };
    const other = programWith({ fan: { ...SETTINGS.fan, nominalRpm: 5_000 } });
    expect(beginState(program, { ...made, fan: learned }, 0).fan.learned).toEqual(learned);
    expect(beginState(other, { ...made, fan: learned }, 0).fan.learned).toEqual(UNLEARNED_SPEED);
  });
});
