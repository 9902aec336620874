// What operators ask, applied to what is remembered: each command is done or refused, answered and recorded.
// A request never moves a line by itself: it changes what the next decision stands on.

import type { Answer, Command } from "../commands.ts";
import type { RecordEntry } from "../effects.ts";
import { type AlarmRun, commandAlarm, restoreAlarm, shelveAlarm } from "./alarm.ts";
import { transitionEntry } from "./alarms.ts";
import { INHIBITING, NEVER_BYPASSED } from "./causes.ts";
import type { Program } from "./program.ts";
import { askProofTest, type ProofScene, type ProofTest } from "./proof-test.ts";
import { carryForward, OLDEST_SPOT_SECONDS, type Trail } from "./spot.ts";
import { type Stage, standingDemands, withBypass } from "./stages.ts";

/** The part of the state that requests may change; each field replaced, never altered. */
export type Requested = {
  stage: Stage;
  proof: ProofTest;
  alarms: readonly AlarmRun[];
  fanOffUntilSeconds: number | null;
  fanReplaced: boolean;
  /** A core reading carried forward to now; null = none in this cycle. */
  spotCelsius: number | null;
  resetAsked: boolean;
};

/** What requests are judged by, as it is before this cycle's decisions. */
export type RequestScene = {
  readonly program: Program;
  readonly nowSeconds: number;
  /** Demands of this cycle. */
  readonly causes: number;
  readonly proof: ProofScene;
  readonly trail: Trail;
  readonly coreCelsius: number | null;
  /** The warmer of the air at inlet and outlet as believed; null when neither is. */
  readonly airCelsius: number | null;
  /** The coldest that the core can be by drive, fan and air; null when nothing speaks of it. */
  readonly coldestCelsius: number | null;
};

/** The sun on the box and a sensor's lag may make the air so much warmer than a core that heats nothing, K. */
const COLDER_THAN_AIR_KELVIN = 10;

/** Longest text of an operator that is kept. */
const LONGEST_TEXT = 500;

type Reply = { readonly accepted: boolean; readonly text: string };
const done = (text: string): Reply => ({ accepted: true, text });
const refused = (text: string): Reply => ({ accepted: false, text });

/** The wished-for time within its longest; null when it is no time at all. */
function granted(seconds: number, longestSeconds: number): number | null {
  return Number.isFinite(seconds) && seconds >= 1 ? Math.min(seconds, longestSeconds) : null;
}

function remark(comment: string | undefined): string {
  const text = comment?.trim().slice(0, LONGEST_TEXT) ?? "";
  return text === "" ? "" : `: ${text}`;
}

function changeAlarm(
  tag: string,
  by: string,
  asked: Requested,
  scene: RequestScene,
  record: RecordEntry[],
  words: string,
  change: (run: AlarmRun, index: number) => AlarmRun,
): Reply {
  const { program, nowSeconds } = scene;
  const index = program.alarmList.findIndex((alarm) => alarm.tag === tag);
  const alarm = program.alarmList[index];
  const run = asked.alarms[index];
  if (alarm === undefined || run === undefined) return refused(`there is no alarm ${tag.slice(0, 80)}`);
  const after = change(run, index);
  if (after === run) return refused(`the alarm is ${run.state}`);
  asked.alarms = asked.alarms.with(index, after);
  record.push(transitionEntry(alarm, run, after, words, by, nowSeconds));
  return done(`the alarm is ${after.state}`);
}

function resetLatches(by: string, asked: Requested, scene: RequestScene, record: RecordEntry[]): number {
  let count = 0;
  scene.program.alarmList.forEach((alarm, index) => {
    const run = asked.alarms[index];
    if (run === undefined) return;
    const after = commandAlarm(alarm, run, "reset", scene.nowSeconds);
    if (after === run) return;
    asked.alarms = asked.alarms.with(index, after);
    record.push(transitionEntry(alarm, run, after, "reset", by, scene.nowSeconds));
    count += 1;
  });
  return count;
}

function reset(by: string, asked: Requested, scene: RequestScene, record: RecordEntry[]): Reply {
  const count = resetLatches(by, asked, scene, record);
  if (!asked.stage.latched) {
    return count > 0 ? done(`${count} latched alarm${count === 1 ? "" : "s"} reset`) : refused("nothing is latched");
  }
  if ((standingDemands(asked.stage, scene.causes, scene.nowSeconds) & INHIBITING) !== 0) {
    return refused(`the cause has not gone: ${asked.stage.reasons[0] ?? "see the stage's reasons"}`);
  }
  asked.resetAsked = true;
  return done("the trip is reset");
}

function bypass(seconds: number, comment: string, asked: Requested, scene: RequestScene): Reply {
  const { limits } = scene.program;
  const time = granted(seconds, limits.longestBypassSeconds);
  if (time === null) return refused("a bypass needs an end: 1 s or more");
  if (remark(comment) === "") return refused("a bypass needs a comment that says why");
  asked.stage = withBypass(limits, asked.stage, scene.nowSeconds + time);
  const uncovered = (scene.causes & NEVER_BYPASSED) !== 0 ? "; what stands now is not covered by a bypass" : "";
  return done(`bypassed for ${time.toFixed(0)} s${remark(comment)}${uncovered}`);
}

function spot(celsius: number, secondsAgo: number, asked: Requested, scene: RequestScene): Reply {
  if (!(celsius >= -60 && celsius <= 400)) return refused("a core reading lies between -60 and 400 °C");
  if (!(secondsAgo >= 0)) return refused("the age of a reading is 0 s or more");
  const now = carryForward(scene.trail, scene.coreCelsius ?? celsius, celsius, secondsAgo, scene.nowSeconds);
  if (now === null) {
    return refused(`the reading is older than ${OLDEST_SPOT_SECONDS} s or than the estimate itself`);
  }
  const { airCelsius } = scene;
  // Bare metal and wrong settings read low, and a reading that is too low would permit what it should forbid.
  if (airCelsius !== null && now < airCelsius - COLDER_THAN_AIR_KELVIN) {
    const air = `the air around it, which is at ${airCelsius.toFixed(1)} °C`;
    return refused(
      `a core at ${celsius.toFixed(1)} °C would be far colder than ${air}: check the thermometer's aim and emissivity`,
    );
  }
  const { coldestCelsius } = scene;
  if (coldestCelsius !== null && now < coldestCelsius) {
    return refused(
      `by drive, fan and air the core is at ${coldestCelsius.toFixed(0)} °C at least: check the thermometer's aim and emissivity`,
    );
  }
  asked.spotCelsius = now;
  return done(`core ${celsius.toFixed(1)} °C ${secondsAgo.toFixed(0)} s ago, ${now.toFixed(1)} °C now`);
}

function perform(command: Command, asked: Requested, scene: RequestScene, record: RecordEntry[]): Reply {
  const { action, by } = command;
  const { program, nowSeconds } = scene;
  const listed = (index: number) => program.alarmList[index]!;
  switch (action.kind) {
    case "reset":
      return reset(by, asked, scene, record);
    case "acknowledge":
      return changeAlarm(action.tag, by, asked, scene, record, `acknowledged${remark(action.comment)}`, (run, index) =>
        commandAlarm(listed(index), run, "acknowledge", nowSeconds),
      );
    case "shelve": {
      const time = granted(action.seconds, program.alarms.longestShelvingSeconds);
      if (time === null) return refused("shelving needs an end: 1 s or more");
      const words = `shelved for ${time.toFixed(0)} s${remark(action.comment)}`;
      return changeAlarm(action.tag, by, asked, scene, record, words, (run, index) =>
        shelveAlarm(listed(index), run, time, nowSeconds),
      );
    }
    case "unshelve":
      return changeAlarm(action.tag, by, asked, scene, record, "unshelved", (run, index) =>
        restoreAlarm(listed(index), run, "shelved", nowSeconds),
      );
    case "out of service":
      if (remark(action.comment) === "") return refused("out of service needs a comment that says why");
      return changeAlarm(
        action.tag,
        by,
        asked,
        scene,
        record,
        `out of service${remark(action.comment)}`,
        (run, index) => commandAlarm(listed(index), run, "take out of service", nowSeconds),
      );
    case "return to service":
      return changeAlarm(action.tag, by, asked, scene, record, "returned to service", (run, index) =>
        restoreAlarm(listed(index), run, "out of service", nowSeconds),
      );
    case "bypass":
      return bypass(action.seconds, action.comment, asked, scene);
    case "end bypass":
      if (asked.stage.bypassedUntilSeconds === null) return refused("there is no bypass");
      asked.stage = withBypass(program.limits, asked.stage, null);
      return done("the bypass has ended");
    case "fan off on purpose": {
      if (program.fan === null) return refused("no fan is configured");
      const time = granted(action.seconds, program.fan.longestOffSeconds);
      if (time === null) return refused("it needs an end: 1 s or more");
      asked.fanOffUntilSeconds = nowSeconds + time;
      return done(`the fan may be off for ${time.toFixed(0)} s; the power is reduced meanwhile`);
    }
    case "fan on again":
      if (asked.fanOffUntilSeconds === null) return refused("the fan is not off on purpose");
      asked.fanOffUntilSeconds = null;
      return done("the fan is expected to turn");
    case "fan replaced":
      if (program.fan === null) return refused("no fan is configured");
      asked.fanReplaced = true;
      return done("the expected speed is learned anew");
    case "spot reading":
      return spot(action.celsius, action.secondsAgo, asked, scene);
    case "proof test": {
      const outcome = askProofTest(asked.proof, action.step, scene.proof);
      asked.proof = outcome.proof;
      record.push({ atSeconds: nowSeconds, kind: "proof test", tag: action.step, text: outcome.entry, by });
      return outcome.refused === null ? done(outcome.entry) : refused(outcome.entry);
    }
    case "note": {
      const text = action.text.trim().slice(0, LONGEST_TEXT);
      if (text === "") return refused("the note is empty");
      record.push({ atSeconds: nowSeconds, kind: "note", tag: "note", text, by });
      return done("noted");
    }
  }
}

/** What changes the fan or the estimate is done before these are worked out, everything else is judged by them. */
function phaseOf(command: Command): "before the estimate" | "after the estimate" {
  switch (command.action.kind) {
    case "spot reading":
    case "fan off on purpose":
    case "fan on again":
    case "fan replaced":
      return "before the estimate";
    default:
      return "after the estimate";
  }
}

/** Performs the commands of one phase in order on a copy of `before`; answers and entries are added to the lists given. */
export function performRequests(
  phase: "before the estimate" | "after the estimate",
  commands: readonly Command[],
  before: Requested,
  scene: RequestScene,
  answers: Answer[],
  record: RecordEntry[],
): Requested {
  const asked = { ...before };
  for (const command of commands) {
    if (phaseOf(command) !== phase) continue;
    const { accepted, text } = perform(command, asked, scene, record);
    answers.push({ id: command.id, accepted, text });
    record.push({
      atSeconds: scene.nowSeconds,
      kind: "command",
      tag: command.action.kind,
      text: `${accepted ? "done" : "refused"}: ${text} (from ${command.from.slice(0, 80)})`,
      by: command.by,
    });
  }
  return asked;
}
