// The alarm state machine against the state diagram of IEC 62682:2022 / ISA-18.2-2016, cell by cell.
// The table below is written from memory of that diagram; the transitions between two kinds of being set aside are ours.

import { describe, expect, it } from "vitest";
import type { AlarmState } from "../../../daemon/core/effects.ts";
import {
  ALARM_INPUTS,
  ALARM_STATES,
  type AlarmInput,
  isSetAside,
  isUnacknowledged,
  nextAlarmState,
} from "../../../daemon/core/protect/machine.ts";

const N = "normal";
const U = "unacknowledged";
const A = "acknowledged";
const R = "returned to normal unacknowledged";
const LU = "latched unacknowledged";
const LA = "latched acknowledged";
const SH = "shelved";
const SD = "suppressed by design";
const OS = "out of service";

/** Columns in the order of ALARM_INPUTS: came, went, acknowledge, reset, shelve, suppress, take out, restore with, restore with latch, restore without. */
const COMMON: Readonly<Record<AlarmState, readonly AlarmState[]>> = {
  [N]: [U, N, N, N, SH, SD, OS, N, N, N],
  [U]: [U, R, A, U, SH, SD, OS, U, U, U],
  [A]: [A, N, A, A, SH, SD, OS, A, A, A],
  [R]: [U, R, N, R, SH, SD, OS, R, R, R],
  [LU]: [U, LU, LA, R, SH, SD, OS, LU, LU, LU],
  [LA]: [U, LA, LA, N, SH, SD, OS, LA, LA, LA],
  [SH]: [SH, SH, SH, SH, SH, SH, OS, U, LU, N],
  [SD]: [SD, SD, SD, SD, SD, SD, OS, U, LU, N],
  [OS]: [OS, OS, OS, OS, OS, OS, OS, U, LU, N],
};

/** What a latch changes: only where the condition goes. */
const LATCHED: Readonly<Partial<Record<AlarmState, AlarmState>>> = { [U]: LU, [A]: LA };

const cells = ALARM_STATES.flatMap((state) =>
  ALARM_INPUTS.flatMap((input, column) =>
    [false, true].map((latch) => {
      const plain = COMMON[state][column]!;
      const expected = latch && input === "condition went" ? (LATCHED[state] ?? plain) : plain;
      return { state, input, latch, expected };
    }),
  ),
);

describe("the alarm state machine", () => {
  it("has the nine states and an answer for each input in each of them", () => {
    expect(ALARM_STATES).toHaveLength(9);
    expect(new Set(cells.map(({ state }) => state)).size).toBe(9);
    expect(cells).toHaveLength(9 * 10 * 2);
  });

  it.each(cells)("$state, $input, latch $latch → $expected", ({ state, input, latch, expected }) => {
    expect(nextAlarmState(state, input, latch)).toBe(expected);
  });

  it("reaches every state from normal", () => {
    const reached = new Set<AlarmState>(["normal"]);
    for (const state of reached) {
      for (const input of ALARM_INPUTS)
        for (const latch of [false, true]) reached.add(nextAlarmState(state, input, latch));
    }
    expect([...reached].sort()).toEqual([...ALARM_STATES].sort());
  });

  it("lets no input but the operator's acknowledgement end an unacknowledged alarm on the list", () => {
    const alone: readonly AlarmInput[] = ["condition came", "condition went", "reset"];
    for (const state of ALARM_STATES.filter(isUnacknowledged)) {
      for (const latch of [false, true]) {
        for (const input of alone) expect(isUnacknowledged(nextAlarmState(state, input, latch))).toBe(true);
      }
    }
  });

  it("knows the three ways of being set aside", () => {
    expect(ALARM_STATES.filter(isSetAside)).toEqual([SH, SD, OS]);
  });
});
