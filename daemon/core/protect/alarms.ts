// All alarms of the list over one cycle: conditions asked, machines advanced, transitions recorded, statuses for the outlook.
// While nothing happens it hands back the arrays it was given.

import type { AlarmStatus, Priority, RecordEntry } from "../effects.ts";
import { type AlarmRun, advanceAlarm } from "./alarm.ts";
import type { Alarm } from "./alarm-list.ts";
import { CONDITIONS } from "./conditions/all.ts";
import { isSetAside, isUnacknowledged } from "./machine.ts";
import type { Scene } from "./scene.ts";

const NO_ALARMS: readonly AlarmStatus[] = Object.freeze([]);

/** The entry of one change of state. */
export function transitionEntry(
  alarm: Alarm,
  from: AlarmRun,
  to: AlarmRun,
  words: string,
  by: string | null,
  nowSeconds: number,
): RecordEntry {
  const text = `${from.state} → ${to.state}, ${alarm.priority} priority: ${words}`;
  return { atSeconds: nowSeconds, kind: "alarm", tag: alarm.tag, text, by };
}

/** Every alarm one cycle later; changes of state go into `record`. */
export function advanceAlarms(
  list: readonly Alarm[],
  runs: readonly AlarmRun[],
  scene: Scene,
  record: RecordEntry[],
): readonly AlarmRun[] {
  let next: AlarmRun[] | null = null;
  for (let index = 0; index < list.length; index += 1) {
    const alarm = list[index]!;
    const run = runs[index]!;
    const condition = CONDITIONS[alarm.tag];
    const holds = condition.holds(scene, alarm, run.held);
    const suppressed = condition.suppressed?.(scene) ?? false;
    const after = advanceAlarm(alarm, run, holds, suppressed, scene.nowSeconds);
    if (after === run) continue;
    next ??= runs.slice();
    next[index] = after;
    if (after.state !== run.state) {
      record.push(transitionEntry(alarm, run, after, condition.words(scene, alarm), null, scene.nowSeconds));
    }
  }
  return next ?? runs;
}

const PRIORITY_RANK = { high: 0, medium: 1, low: 2 } as const satisfies Record<Priority, number>;

/** Lower = shown further up: what nobody has acknowledged, then what is acknowledged, then what is set aside. */
function rank(status: AlarmStatus): number {
  const seen = isSetAside(status.state) ? 2 : isUnacknowledged(status.state) ? 0 : 1;
  return 3 * seen + PRIORITY_RANK[status.priority];
}

/** All alarms that are not normal, worst first. */
export function alarmStatuses(list: readonly Alarm[], runs: readonly AlarmRun[], scene: Scene): readonly AlarmStatus[] {
  let statuses: AlarmStatus[] | null = null;
  for (let index = 0; index < list.length; index += 1) {
    const run = runs[index]!;
    if (run.state === "normal") continue;
    const alarm = list[index]!;
    statuses ??= [];
    statuses.push({
      tag: alarm.tag,
      state: run.state,
      priority: alarm.priority,
      text: CONDITIONS[alarm.tag].words(scene, alarm),
      sinceSeconds: run.sinceSeconds,
      untilSeconds: run.untilSeconds,
    });
  }
  return statuses === null ? NO_ALARMS : statuses.sort((a, b) => rank(a) - rank(b));
}

/** True while an alarm of at least this priority waits for somebody to say that they saw it. */
export function soundsBuzzer(statuses: readonly AlarmStatus[], from: Priority | null): boolean {
  if (from === null) return false;
  return statuses.some(
    ({ state, priority }) =>
      (state === "unacknowledged" || state === "latched unacknowledged") &&
      PRIORITY_RANK[priority] <= PRIORITY_RANK[from],
  );
}
