// One alarm over time: its condition with on-delay and off-delay, and the state machine driven by it.
// It evaluates no condition itself and returns the same object while nothing changes.

import type { AlarmState, Priority } from "../effects.ts";
import { type AlarmInput, nextAlarmState } from "./machine.ts";

/** A number at which an alarm comes. */
export type Setpoint = {
  readonly value: number;
  /** As written behind the number, e.g. `°C`; empty for a ratio. */
  readonly unit: string;
  readonly sense: "at or above" | "at or below";
};

/** A row of the rationalised list. An alarm without a response is no alarm. */
export type AlarmDefinition = {
  readonly tag: string;
  readonly priority: Priority;
  /** null = the condition is a yes or no. */
  readonly setpoint: Setpoint | null;
  /** In the setpoint's unit: how far back beyond it the alarm goes. */
  readonly deadband: number;
  readonly onDelaySeconds: number;
  readonly offDelaySeconds: number;
  readonly latch: boolean;
  readonly cause: string;
  readonly consequence: string;
  readonly response: string;
  readonly respondWithinSeconds: number;
};

/** What is remembered of one alarm. Times are monotonic seconds. */
export type AlarmRun = {
  readonly state: AlarmState;
  /** The condition after its delays. */
  readonly held: boolean;
  /** The latch has closed and nobody has reset it, whatever the list shows. */
  readonly latched: boolean;
  /** Since when the bare condition differs from `held`; null while they agree. */
  readonly pendingSeconds: number | null;
  readonly sinceSeconds: number;
  /** When shelving ends; null when not shelved. */
  readonly untilSeconds: number | null;
};

/** An alarm nothing has happened to. */
export function quietAlarm(nowSeconds: number): AlarmRun {
  return {
    state: "normal",
    held: false,
    latched: false,
    pendingSeconds: null,
    sinceSeconds: nowSeconds,
    untilSeconds: null,
  };
}

/** `value` against the setpoint, with the deadband while `held`; not a number counts as beyond. */
export function beyond(alarm: AlarmDefinition, value: number, held: boolean): boolean {
  const setpoint = alarm.setpoint;
  if (setpoint === null) return true;
  if (setpoint.sense === "at or above") return !(value < (held ? setpoint.value - alarm.deadband : setpoint.value));
  return !(value > (held ? setpoint.value + alarm.deadband : setpoint.value));
}

function feed(alarm: AlarmDefinition, run: AlarmRun, input: AlarmInput, nowSeconds: number): AlarmRun {
  const state = nextAlarmState(run.state, input, alarm.latch);
  if (state === run.state) return run;
  return { ...run, state, sinceSeconds: nowSeconds, untilSeconds: null };
}

/** The way back onto the list, by what the condition says now. */
function restore(alarm: AlarmDefinition, run: AlarmRun, nowSeconds: number): AlarmRun {
  const input = run.held ? "restore with condition" : run.latched ? "restore with latch" : "restore without condition";
  return feed(alarm, run, input, nowSeconds);
}

/**
 * The alarm one cycle later. `condition` null = cannot be told now: what was held stays held. A delay to come goes on, for a reading
 * that fails now and then must not keep an alarm away; a delay to go begins anew.
 * `suppressed` = by design, the condition means nothing at present.
 */
export function advanceAlarm(
  alarm: AlarmDefinition,
  run: AlarmRun,
  condition: boolean | null,
  suppressed: boolean,
  nowSeconds: number,
): AlarmRun {
  if (condition !== true && !run.held && !suppressed && run.state === "normal" && run.pendingSeconds === null) {
    return run;
  }
  let next = run;
  if (condition === run.held || (condition === null && run.held)) {
    if (run.pendingSeconds !== null) next = { ...next, pendingSeconds: null };
  } else if (condition !== null) {
    const pendingSeconds = run.pendingSeconds ?? nowSeconds;
    const delaySeconds = condition ? alarm.onDelaySeconds : alarm.offDelaySeconds;
    if (nowSeconds - pendingSeconds >= delaySeconds) {
      next = { ...next, held: condition, latched: run.latched || (condition && alarm.latch), pendingSeconds: null };
      next = feed(alarm, next, condition ? "condition came" : "condition went", nowSeconds);
    } else if (run.pendingSeconds === null) {
      next = { ...next, pendingSeconds };
    }
  }
  if (next.state === "shelved" && !(next.untilSeconds !== null && nowSeconds < next.untilSeconds)) {
    next = restore(alarm, next, nowSeconds);
  }
  if (suppressed) next = feed(alarm, next, "suppress", nowSeconds);
  else if (next.state === "suppressed by design") next = restore(alarm, next, nowSeconds);
  return next;
}

/**
 * `acknowledge`, `reset`, `take out of service`: the run after it, the same object when it means nothing now. A reset opens
 * the latch of an alarm that is set aside too.
 */
export function commandAlarm(
  alarm: AlarmDefinition,
  run: AlarmRun,
  input: "acknowledge" | "reset" | "take out of service",
  nowSeconds: number,
): AlarmRun {
  const opens = input === "reset" && run.latched && !run.held;
  return feed(alarm, opens ? { ...run, latched: false } : run, input, nowSeconds);
}

/** Shelved for `seconds`; a shelved alarm gets the new end. The same object when it cannot be shelved now. */
export function shelveAlarm(alarm: AlarmDefinition, run: AlarmRun, seconds: number, nowSeconds: number): AlarmRun {
  if (run.state !== "shelved" && nextAlarmState(run.state, "shelve", alarm.latch) !== "shelved") return run;
  const sinceSeconds = run.state === "shelved" ? run.sinceSeconds : nowSeconds;
  return { ...run, state: "shelved", sinceSeconds, untilSeconds: nowSeconds + seconds };
}

/** Ends shelving or being out of service; the same object when there is nothing to end. */
export function restoreAlarm(
  alarm: AlarmDefinition,
  run: AlarmRun,
  from: "shelved" | "out of service",
  nowSeconds: number,
): AlarmRun {
  return run.state === from ? restore(alarm, run, nowSeconds) : run;
}
