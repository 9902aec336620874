// What one step wants done in the world: plain data. Types only.

import type { Answer } from "./commands.ts";
import type { Estimate } from "./estimate/estimate.ts";
import type { Readings } from "./readings.ts";

export type PowerStage = "full" | "reduced" | "inhibited";

/** The nine alarm states of IEC 62682 / ISA-18.2 in the vocabulary's words. */
export type AlarmState =
  | "normal"
  | "unacknowledged"
  | "acknowledged"
  | "returned to normal unacknowledged"
  | "latched unacknowledged"
  | "latched acknowledged"
  | "shelved"
  | "suppressed by design"
  | "out of service";

export type Priority = "high" | "medium" | "low";

/** One alarm as shown; the fixed words (cause, consequence, response) stand in the alarm list under the same tag. */
export type AlarmStatus = {
  readonly tag: string;
  readonly state: AlarmState;
  readonly priority: Priority;
  /** What the condition says now, in words with numbers. */
  readonly text: string;
  /** Monotonic second of the last state change. */
  readonly sinceSeconds: number;
  /** When shelving ends, monotonic; null when not shelved. */
  readonly untilSeconds: number | null;
};

/** A line of the permanent record; never lost once made. */
export type RecordEntry = {
  readonly atSeconds: number;
  readonly kind: "alarm" | "stage" | "command" | "event" | "note" | "proof test";
  /** Alarm tag, stage name or event name. */
  readonly tag: string;
  readonly text: string;
  readonly by: string | null;
};

/** Energised = permitted, per line. */
export type PermitLines = { readonly reduce: boolean; readonly inhibit: boolean };

export type FanVerdict =
  | "turning"
  | "starting"
  | "stalled"
  | "slow"
  | "surging"
  | "doubtful"
  | "off on purpose"
  | "unknown";

/** The guided proof test of the relay lines. */
export type ProofTestStatus = {
  readonly step: "idle" | "released" | "permitted";
  /** What the operator is to do now; empty when idle. */
  readonly instruction: string;
  /** Unix second of the last test passed; null = never, or the clock was not trusted. */
  readonly lastWallSeconds: number | null;
  readonly dueWallSeconds: number | null;
};

/** The whole of what is believed and decided in one cycle, for stream, log and metrics. */
export type Outlook = {
  readonly atSeconds: number;
  readonly readings: Readings;
  readonly estimate: Estimate;
  readonly fan: FanVerdict;
  readonly stage: PowerStage;
  /** Why the stage is what it is; empty only at `full`. */
  readonly reasons: readonly string[];
  readonly bypassedUntilSeconds: number | null;
  /** All alarms that are not `normal`, worst first. */
  readonly alarms: readonly AlarmStatus[];
  readonly dewPointCelsius: number | null;
  /** Full power with the fan stopped, from the trip point to the Curie point, s; null when it never gets there. */
  readonly processSafetySeconds: number | null;
  /** Detection of a stall plus read-back of the released line, as last measured, s; null before the first. */
  readonly reactionSeconds: number | null;
  readonly proofTest: ProofTestStatus;
};

export type Effects = {
  /** Drive these first. */
  readonly permits: PermitLines;
  readonly outlook: Outlook;
  readonly record: readonly RecordEntry[];
  /** One answer per command of this cycle. */
  readonly answers: readonly Answer[];
  /** Worst priority for which the buzzer sounds; null = silent. */
  readonly buzzer: Priority | null;
  /** Switch line of the fan: false = cut its supply now. Always true where no switch line is configured. */
  readonly fanPower: boolean;
};
