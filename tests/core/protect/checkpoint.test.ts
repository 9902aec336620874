// Checkpoints: whatever a disk hands back is either a checkpoint or nothing.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
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

  it.each([
    null,
    undefined,
    3,
    "checkpoint",
    [],
    {},
    { ...made, version: 2 },
    { ...made, tripped: "no" },
    { ...made, wallSeconds: "today" },
    { ...made, estimator: { version: 1 } },
    { ...made, estimator: { ...made.estimator, coreCelsius: Number.NaN } },
    { ...made, estimator: { ...made.estimator, bands: [{ band: 80 }] } },
    { ...made, alarms: [{ tag: "x", state: "loud", held: false, shelvedSeconds: null }] },
    { ...made, alarms: [null] },
    { ...made, fan: { ...made.fan, covariance: [1, 2] } },
    { ...made, fan: null },
    { ...made, fanOffSeconds: true },
  ])("is nothing when it is %j", (value) => {
    expect(parseCheckpoint(value)).toBeNull();
  });

  it("is never half of one, whatever was lost", () => {
    const keys = Object.keys(made) as (keyof Checkpoint)[];
    fc.assert(
      fc.property(fc.constantFrom(...keys), fc.anything(), (key, value) => {
        const parsed = parseCheckpoint({ ...made, [key]: value });
        if (parsed !== null) {
          const begun = beginState(program, parsed, 0);
          expect(step(program, begun, readings, [], 1).effects.permits).toBeDefined();
        }
      }),
    );
    for (const key of keys) {
      const { [key]: _, ...rest } = made;
      expect(parseCheckpoint(rest)).toBeNull();
    }
  });

  it("of alarms that are no longer on the list is passed over", () => {
    const old = { tag: "retired_alarm", state: "unacknowledged", held: true, shelvedSeconds: null } as const;
    const begun = beginState(program, { ...made, alarms: [old] }, 0);
    expect(step(program, begun, readings, [], 1).effects.outlook.alarms).toEqual([]);
  });
});
