// One request of an operator: what it is judged by, what it may change, and how it is answered. It performs none.

import type { AlarmRun } from "./alarm.ts";
import type { Program } from "./program.ts";
import type { ProofScene, ProofTest } from "./proof-test.ts";
import type { Trail } from "./spot.ts";
import type { Stage } from "./stages.ts";

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

/** Longest text of an operator that is kept. */
export const LONGEST_TEXT = 500;

/** What became of it, in words for the one who asked. */
export type Reply = { readonly accepted: boolean; readonly text: string };
export const done = (text: string): Reply => ({ accepted: true, text });
export const refused = (text: string): Reply => ({ accepted: false, text });

/** The wished-for time within its longest, s; null when it is no time at all. */
export function granted(seconds: number, longestSeconds: number): number | null {
  return Number.isFinite(seconds) && seconds >= 1 ? Math.min(seconds, longestSeconds) : null;
}

/** A comment as it is hung on other words; empty when there is none. */
export function remark(comment: string | undefined): string {
  const text = comment?.trim().slice(0, LONGEST_TEXT) ?? "";
  return text === "" ? "" : `: ${text}`;
}
