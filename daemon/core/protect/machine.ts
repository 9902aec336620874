// The alarm state machine of IEC 62682 / ISA-18.2 as a pure table: nine states, ten inputs, every pair answered.
// It knows no setpoint, no delay and no clock; no conformity is claimed.

import type { AlarmState } from "../effects.ts";

/** What can happen to an alarm. The three `restore` inputs end shelving, suppression or being out of service. */
export type AlarmInput =
  | "condition came"
  | "condition went"
  | "acknowledge"
  | "reset"
  | "shelve"
  | "suppress"
  | "take out of service"
  | "restore with condition"
  | "restore with latch"
  | "restore without condition";

export const ALARM_STATES = [
  "normal",
  "unacknowledged",
  "acknowledged",
  "returned to normal unacknowledged",
  "latched unacknowledged",
  "latched acknowledged",
  "shelved",
  "suppressed by design",
  "out of service",
] as const satisfies readonly AlarmState[];

export const ALARM_INPUTS = [
  "condition came",
  "condition went",
  "acknowledge",
  "reset",
  "shelve",
  "suppress",
  "take out of service",
  "restore with condition",
  "restore with latch",
  "restore without condition",
] as const satisfies readonly AlarmInput[];

type Row = Readonly<Partial<Record<AlarmInput, AlarmState>>>;

/** Any annunciated or normal alarm can be taken off the operator's list in three ways. */
const SET_ASIDE: Row = {
  shelve: "shelved",
  suppress: "suppressed by design",
  "take out of service": "out of service",
};

/** The only ways back onto the list; the operator hears of a condition, or a latch, that outlived its absence. */
const RESTORED: Row = {
  "restore with condition": "unacknowledged",
  "restore with latch": "latched unacknowledged",
  "restore without condition": "normal",
};

/** An input missing from a row leaves the state as it is. `condition went` of a latching alarm is below. */
const ROWS: Readonly<Record<AlarmState, Row>> = {
  normal: { ...SET_ASIDE, "condition came": "unacknowledged" },
  unacknowledged: {
    ...SET_ASIDE,
    "condition went": "returned to normal unacknowledged",
    acknowledge: "acknowledged",
  },
  acknowledged: { ...SET_ASIDE, "condition went": "normal" },
  "returned to normal unacknowledged": {
    ...SET_ASIDE,
    "condition came": "unacknowledged",
    acknowledge: "normal",
  },
  "latched unacknowledged": {
    ...SET_ASIDE,
    "condition came": "unacknowledged",
    acknowledge: "latched acknowledged",
    // The latch is open, but nobody has said that they saw it.
    reset: "returned to normal unacknowledged",
  },
  "latched acknowledged": { ...SET_ASIDE, "condition came": "unacknowledged", reset: "normal" },
  // Suppression waits until the shelving has ended: the end of shelving must be seen.
  shelved: { ...RESTORED, "take out of service": "out of service" },
  "suppressed by design": { ...RESTORED, "take out of service": "out of service" },
  "out of service": RESTORED,
};

const LATCHED: Readonly<Partial<Record<AlarmState, AlarmState>>> = {
  unacknowledged: "latched unacknowledged",
  acknowledged: "latched acknowledged",
};

/** The state after `input`. `latch`: the alarm stays on the list after its condition went, until reset. */
export function nextAlarmState(state: AlarmState, input: AlarmInput, latch: boolean): AlarmState {
  if (latch && input === "condition went") return LATCHED[state] ?? state;
  return ROWS[state][input] ?? state;
}

/** True while the operator's list leaves this alarm out. */
export function isSetAside(state: AlarmState): boolean {
  return state === "shelved" || state === "suppressed by design" || state === "out of service";
}

/** True while somebody has yet to say that they saw it. */
export function isUnacknowledged(state: AlarmState): boolean {
  return (
    state === "unacknowledged" || state === "latched unacknowledged" || state === "returned to normal unacknowledged"
  );
}
