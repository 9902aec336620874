// All alarms of the list over one cycle: conditions asked, machines advanced, transitions recorded, statuses for the outlook.
// While nothing happens it hands back the arrays it was given.

import type { AlarmStatus, Priority } from "../effects.ts";
import { type AlarmRun, advanceAlarm } from "./alarm.ts";
import type { Alarm } from "./alarm-list.ts";
import type { Journal } from "./journal.ts";
import { isSetAside, isUnacknowledged } from "./machine.ts";
import type { Condition, Scene } from "./scene.ts";

/** An alarm of the list with its condition. */
export type Watch = { readonly alarm: Alarm; readonly condition: Condition };

const NO_ALARMS: readonly AlarmStatus[] = Object.freeze([]);

/** A change of an alarm's state in words. */
export function transition(alarm: Alarm, from: AlarmRun, to: AlarmRun, words: string): string {
  return `${from.state} → ${to.state}, ${alarm.priority} priority: ${words}`;
}

/** Every alarm one cycle later; changes of state go into the journal. */
export function advanceAlarms(
  watches: readonly Watch[],
  runs: readonly AlarmRun[],
  scene: Scene,
  journal: Journal,
): readonly AlarmRun[] {
  let next: AlarmRun[] | null = null;
  for (let index = 0; index < watches.length; index += 1) {
    const { alarm, condition } = watches[index]!;
    const run = runs[index]!;
    const holds = condition.holds(scene, alarm, run.held);
    const suppressed = condition.suppressed === undefined ? false : condition.suppressed(scene);
    const after = advanceAlarm(alarm, run, holds, suppressed, scene.nowSeconds);
    if (after === run) continue;
    next ??= runs.slice();
    next[index] = after;
    if (after.state !== run.state) {
      journal.enter("alarm", alarm.tag, transition(alarm, run, after, condition.words(scene, alarm)), null);
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
export function alarmStatuses(
  watches: readonly Watch[],
  runs: readonly AlarmRun[],
  scene: Scene,
): readonly AlarmStatus[] {
  let statuses: AlarmStatus[] | null = null;
  for (let index = 0; index < watches.length; index += 1) {
    const run = runs[index]!;
    if (run.state === "normal") continue;
    const { alarm, condition } = watches[index]!;
    statuses ??= [];
    statuses.push({
      tag: alarm.tag,
      state: run.state,
      priority: alarm.priority,
      text: condition.words(scene, alarm),
      sinceSeconds: run.sinceSeconds,
      untilSeconds: run.untilSeconds,
    });
  }
  return statuses === null ? NO_ALARMS : statuses.sort((a, b) => rank(a) - rank(b));
}

/** The worst priority, at least `from`, of an alarm that waits for somebody to say that they saw it; null = none waits. */
export function soundsBuzzer(statuses: readonly AlarmStatus[], from: Priority | null): Priority | null {
  if (from === null) return null;
  let worst: Priority | null = null;
  for (const { state, priority } of statuses) {
    if (state !== "unacknowledged" && state !== "latched unacknowledged") continue;
    if (PRIORITY_RANK[priority] > PRIORITY_RANK[from]) continue;
    if (worst === null || PRIORITY_RANK[priority] < PRIORITY_RANK[worst]) worst = priority;
  }
  return worst;
}
