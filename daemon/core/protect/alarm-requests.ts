// What operators ask of alarms: one of them acknowledged, set aside or taken back, or all latches reset. Every change of a state
// goes into the journal; what changes nothing is refused.

import type { Action } from "../commands.ts";
import { type AlarmRun, commandAlarm, restoreAlarm, shelveAlarm } from "./alarm.ts";
import type { Alarm } from "./alarm-list.ts";
import { transition } from "./alarms.ts";
import type { Journal } from "./journal.ts";
import { done, granted, type Reply, type Requested, type RequestScene, refused, remark } from "./request.ts";

/** The actions that name an alarm. */
export type AlarmAction = Extract<Action, { readonly tag: string }>;

/** The change that is asked, and what the record says of it. */
type Change = { readonly words: string; readonly apply: (alarm: Alarm, run: AlarmRun) => AlarmRun };

function changeOf(action: AlarmAction, { program, nowSeconds }: RequestScene): Change | Reply {
  switch (action.kind) {
    case "acknowledge":
      return {
        words: `acknowledged${remark(action.comment)}`,
        apply: (alarm, run) => commandAlarm(alarm, run, "acknowledge", nowSeconds),
      };
    case "shelve": {
      const time = granted(action.seconds, program.alarms.longestShelvingSeconds);
      if (time === null) return refused("shelving needs an end: 1 s or more");
      return {
        words: `shelved for ${time.toFixed(0)} s${remark(action.comment)}`,
        apply: (alarm, run) => shelveAlarm(alarm, run, time, nowSeconds),
      };
    }
    case "unshelve":
      return { words: "unshelved", apply: (alarm, run) => restoreAlarm(alarm, run, "shelved", nowSeconds) };
    case "out of service":
      if (remark(action.comment) === "") return refused("out of service needs a comment that says why");
      return {
        words: `out of service${remark(action.comment)}`,
        apply: (alarm, run) => commandAlarm(alarm, run, "take out of service", nowSeconds),
      };
    case "return to service":
      return {
        words: "returned to service",
        apply: (alarm, run) => restoreAlarm(alarm, run, "out of service", nowSeconds),
      };
  }
}

/** Changes the alarm that `action` names. */
export function changeAlarm(
  action: AlarmAction,
  by: string,
  asked: Requested,
  scene: RequestScene,
  journal: Journal,
): Reply {
  const change = changeOf(action, scene);
  if ("accepted" in change) return change;
  const index = scene.program.alarmList.findIndex(({ tag }) => tag === action.tag);
  const alarm = scene.program.alarmList[index];
  const run = asked.alarms[index];
  if (alarm === undefined || run === undefined) return refused(`there is no alarm ${action.tag.slice(0, 80)}`);
  const after = change.apply(alarm, run);
  if (after === run) return refused(`the alarm is ${run.state}`);
  asked.alarms = asked.alarms.with(index, after);
  journal.enter("alarm", alarm.tag, transition(alarm, run, after, change.words), by);
  return done(`the alarm is ${after.state}`);
}

/** Resets every latched alarm that can be reset; how many there were. */
export function resetLatches(by: string, asked: Requested, scene: RequestScene, journal: Journal): number {
  let count = 0;
  scene.program.alarmList.forEach((alarm, index) => {
    const run = asked.alarms[index];
    if (run === undefined) return;
    const after = commandAlarm(alarm, run, "reset", scene.nowSeconds);
    if (after === run) return;
    asked.alarms = asked.alarms.with(index, after);
    journal.enter("alarm", alarm.tag, transition(alarm, run, after, "reset"), by);
    count += 1;
  });
  return count;
}
