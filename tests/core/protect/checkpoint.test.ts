// Checkpoints: whatever a disk hands back is either a checkpoint or nothing.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { UNLEARNED_SPEED } from "../../../daemon/core/protect/fan-speed.ts";
import { beginState, type Checkpoint, checkpointState, parseCheckpoint, step } from "../../../daemon/core/step.ts";
import { programWith, READINGS } from "./fixtures.ts";

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
    expect(made.alarms).toEqual([{ tag: "fan_slow", state: "shelved", held: false, shelvedSeconds: 600 }]);
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
    const old = { tag: "retired_alarm", state: "unacknowledged", held: true, shelvedSeconds: null } as const;
    const begun = beginState(program, { ...made, alarms: [old] }, 0);
    expect(step(program, begun, readings, [], 1).effects.outlook.alarms).toEqual([]);
  });
});
