// What operators ask, applied to what is remembered: each command is done or refused, answered and recorded.
// A request never moves a line by itself: it changes what the next decision stands on.

import type { Command } from "../commands.ts";
import { changeAlarm, resetLatches } from "./alarm-requests.ts";
import { INHIBITING, NEVER_BYPASSED } from "./causes.ts";
import { COLDER_THAN_AIR_KELVIN } from "./core-check.ts";
import type { Journal } from "./journal.ts";
import { askProofTest } from "./proof-test.ts";
import {
  done,
  granted,
  LONGEST_TEXT,
  type Reply,
  type Requested,
  type RequestScene,
  refused,
  remark,
} from "./request.ts";
import { carryForward, OLDEST_SPOT_SECONDS } from "./spot.ts";
import { standingDemands, withBypass } from "./stages.ts";

function reset(by: string, asked: Requested, scene: RequestScene, journal: Journal): Reply {
  const count = resetLatches(by, asked, scene, journal);
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

function perform(command: Command, asked: Requested, scene: RequestScene, journal: Journal): Reply {
  const { action, by } = command;
  const { program, nowSeconds } = scene;
  switch (action.kind) {
    case "reset":
      return reset(by, asked, scene, journal);
    case "acknowledge":
    case "shelve":
    case "unshelve":
    case "out of service":
    case "return to service":
      return changeAlarm(action, by, asked, scene, journal);
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
    case "fan on again": {
      if (program.fan === null || asked.fanOffUntilSeconds === null) return refused("the fan is not off on purpose");
      const { startSeconds } = program.fan;
      // It has to run up first: at once it would be a stall, and a switch line would cut its supply again.
      asked.fanOffUntilSeconds = Math.min(asked.fanOffUntilSeconds, nowSeconds + startSeconds);
      return done(`the fan is expected to turn within ${startSeconds} s`);
    }
    case "fan replaced":
      if (program.fan === null) return refused("no fan is configured");
      asked.fanReplaced = true;
      return done("the expected speed is learned anew");
    case "spot reading":
      return spot(action.celsius, action.secondsAgo, asked, scene);
    case "proof test": {
      const outcome = askProofTest(asked.proof, action.step, scene.proof);
      asked.proof = outcome.proof;
      journal.enter("proof test", action.step, outcome.entry, by);
      return outcome.refused === null ? done(outcome.entry) : refused(outcome.entry);
    }
    case "note": {
      const text = action.text.trim().slice(0, LONGEST_TEXT);
      if (text === "") return refused("the note is empty");
      journal.enter("note", "note", text, by);
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

/** Performs the commands of one phase in order on a copy of `before`; the journal has what became of each. */
export function performRequests(
  phase: "before the estimate" | "after the estimate",
  commands: readonly Command[],
  before: Requested,
  scene: RequestScene,
  journal: Journal,
): Requested {
  const asked = { ...before };
  for (const command of commands) {
    if (phaseOf(command) !== phase) continue;
    const { accepted, text } = perform(command, asked, scene, journal);
    journal.answer({ id: command.id, accepted, text });
    const words = `${accepted ? "done" : "refused"}: ${text} (from ${command.from.slice(0, 80)})`;
    journal.enter("command", command.action.kind, words, command.by);
  }
  return asked;
}
