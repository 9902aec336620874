// The alarms as shown: worst first, nothing that is normal, and the horn only for what nobody has acknowledged.

import { describe, expect, it } from "vitest";
import type { AlarmState, AlarmStatus, Priority } from "../../../daemon/core/effects.ts";
import { type AlarmRun, quietAlarm } from "../../../daemon/core/protect/alarm.ts";
import { advanceAlarms, alarmStatuses, soundsBuzzer } from "../../../daemon/core/protect/alarms.ts";
import { Journal } from "../../../daemon/core/protect/journal.ts";
import { programWith, SCENE } from "./fixtures.ts";

const { watches } = programWith();

/** Runs of the whole list, quiet but for these. */
function runsWith(states: Readonly<Record<string, AlarmState>>): AlarmRun[] {
  return watches.map(({ alarm }) => ({ ...quietAlarm(0), state: states[alarm.tag] ?? "normal" }));
}
const shown = (states: Readonly<Record<string, AlarmState>>): readonly AlarmStatus[] =>
  alarmStatuses(watches, runsWith(states), SCENE);

describe("the alarms as shown", () => {
  it("are none when all are normal", () => {
    expect(shown({})).toEqual([]);
  });

  it("stand with the unacknowledged first, then by priority, and what is set aside last", () => {
    const tags = shown({
      outlet_high: "shelved",
      core_upper_high: "acknowledged",
      disk_nearly_full: "unacknowledged",
      fan_stall: "unacknowledged",
      fan_slow: "returned to normal unacknowledged",
      wall_bad: "out of service",
      relay_disagrees: "latched acknowledged",
    }).map(({ tag }) => tag);
    expect(tags.slice(0, 3)).toEqual(["fan_stall", "fan_slow", "disk_nearly_full"]);
    expect(new Set(tags.slice(3, 5))).toEqual(new Set(["core_upper_high", "relay_disagrees"]));
    expect(tags.slice(5)).toEqual(["outlet_high", "wall_bad"]);
  });

  it("hand back the runs they were given while nothing happens", () => {
    const runs = runsWith({});
    expect(advanceAlarms(watches, runs, SCENE, new Journal(SCENE.nowSeconds))).toBe(runs);
  });
});

describe("the horn", () => {
  it.each<[string, AlarmState, Priority | null, Priority | null]>([
    ["fan_stall", "unacknowledged", "high", "high"],
    ["core_upper_trip", "latched unacknowledged", "high", "high"],
    ["fan_stall", "acknowledged", "low", null],
    ["fan_stall", "returned to normal unacknowledged", "low", null],
    ["fan_stall", "shelved", "low", null],
    ["fan_slow", "unacknowledged", "high", null],
    ["fan_slow", "unacknowledged", "medium", "medium"],
    ["wall_bad", "unacknowledged", "medium", null],
    ["wall_bad", "unacknowledged", "low", "low"],
    ["fan_stall", "unacknowledged", null, null],
  ])("for %s, %s, from priority %s: %s", (tag, state, from, sounds) => {
    expect(soundsBuzzer(shown({ [tag]: state }), from)).toBe(sounds);
  });
});
