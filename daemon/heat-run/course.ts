// The course of a heat run: which stage it is in, since when, and what ends it. Pure: a course and what was seen give the next
// course. What a simulated shack does, and whether the fan may stand, follow from the course alone.

import { type HeatRunStage, type LiveStage, STAGE_SECONDS } from "../wire/heat-run.ts";

/** Where a run stands; plain data, so that it can be kept. */
export type Course = {
  readonly stage: HeatRunStage;
  readonly sinceSeconds: number;
  readonly plannedWatts: number;
  /** A part with the fan stopped was asked for. */
  readonly fanOff: boolean;
  readonly unkeyedSeconds: number | null;
  /** When the core was cool enough to stop the fan, and when the fan was seen standing. */
  readonly fanReleasedSeconds: number | null;
  readonly fanStoppedSeconds: number | null;
  /** Why the key-down or the part without the fan was ended before its time. */
  readonly halted: string | null;
};

/** What one second shows. */
export type Seen = {
  readonly atSeconds: number;
  readonly transmitting: boolean;
  /** Why power had to come down; null while the stage is full. */
  readonly limited: string | null;
  readonly fanTurning: boolean;
  readonly coreUpperCelsius: number | null;
  /** Of the recording so far. */
  readonly cold: boolean;
  readonly keyedSeconds: number;
};

/** The upper bound at which the fan goes on again, °C: that at which power would be reduced. */
export type CourseLimits = { readonly fanOffCelsius: number };

/** A key-down that was broken off earlier teaches too little. */
const SHORTEST_KEY_DOWN_SECONDS = 600;
/** The fan is stopped only this far below the bound at which it must go on again. */
const FAN_OFF_MARGIN_KELVIN = 10;
/** A core that has cooled for longer teaches nothing about still air. */
const FAN_OFF_WAIT_SECONDS = 600;

/** Something is being recorded. */
export const isLive = (stage: HeatRunStage): stage is LiveStage => stage in STAGE_SECONDS;

export const NO_COURSE: Course = {
  stage: "idle",
  sinceSeconds: 0,
  plannedWatts: 0,
  fanOff: false,
  unkeyedSeconds: null,
  fanReleasedSeconds: null,
  fanStoppedSeconds: null,
  halted: null,
};

/** The course after one second. */
export function advance(course: Course, seen: Seen, limits: CourseLimits): Course {
  switch (course.stage) {
    case "prepare":
      return advancePrepare(course, seen);
    case "key-down":
      return advanceKeyDown(course, seen);
    case "fan-off":
      return advanceFanOff(course, seen, limits);
    case "cool-down": {
      const over = seen.atSeconds - course.sinceSeconds >= STAGE_SECONDS["cool-down"] && !seen.transmitting;
      return over ? entering(course, "fitting", seen.atSeconds) : course;
    }
    default:
      return course;
  }
}

export const entering = (course: Course, stage: HeatRunStage, atSeconds: number): Course => ({
  ...course,
  stage,
  sinceSeconds: atSeconds,
});

/** A quiet beginning: transmitting begins the five minutes anew, and a warm box is waited for. */
function advancePrepare(course: Course, { atSeconds, transmitting, cold }: Seen): Course {
  const over = atSeconds - course.sinceSeconds >= STAGE_SECONDS.prepare;
  if (transmitting && !over) return { ...course, sinceSeconds: atSeconds };
  return over && cold ? entering(course, "key-down", atSeconds) : course;
}

function advanceKeyDown(course: Course, { atSeconds, transmitting, limited, keyedSeconds }: Seen): Course {
  const halted = course.halted ?? limited;
  const over =
    halted !== null ||
    atSeconds - course.sinceSeconds >= STAGE_SECONDS["key-down"] ||
    keyedSeconds >= SHORTEST_KEY_DOWN_SECONDS;
  if (transmitting || keyedSeconds === 0 || !over) return halted === course.halted ? course : { ...course, halted };
  const unkeyed = { ...course, halted, unkeyedSeconds: atSeconds };
  // What had to be broken off is not followed by a part that cools less.
  return entering(unkeyed, course.fanOff && halted === null ? "fan-off" : "cool-down", atSeconds);
}

function advanceFanOff(course: Course, seen: Seen, limits: CourseLimits): Course {
  const { atSeconds, fanTurning, coreUpperCelsius } = seen;
  const released = coreUpperCelsius !== null && coreUpperCelsius < limits.fanOffCelsius - FAN_OFF_MARGIN_KELVIN;
  const fanReleasedSeconds = course.fanReleasedSeconds ?? (released ? atSeconds : null);
  const waiting = course.fanStoppedSeconds === null;
  const fanStoppedSeconds = waiting && !fanTurning ? atSeconds : course.fanStoppedSeconds;
  const halted = course.halted ?? (fanStoppedSeconds === null ? null : fanOffHalt(seen, limits));
  const next = { ...course, fanReleasedSeconds, fanStoppedSeconds, halted };
  const over = waiting ? atSeconds - course.sinceSeconds >= FAN_OFF_WAIT_SECONDS : true;
  return over && fanTurning ? entering(next, "cool-down", atSeconds) : next;
}

function fanOffHalt({ coreUpperCelsius, transmitting }: Seen, limits: CourseLimits): string | null {
  if (transmitting) return "somebody transmits";
  if (coreUpperCelsius === null) return "the core is not known";
  if (coreUpperCelsius < limits.fanOffCelsius) return null;
  return `the core may be at ${limits.fanOffCelsius.toFixed(0)} °C`;
}

/** True from the moment the fan may be stopped until it must turn again. */
export function wantsFanOff(course: Course, atSeconds: number): boolean {
  const { stage, halted, fanReleasedSeconds, fanStoppedSeconds } = course;
  if (stage !== "fan-off" || halted !== null || fanReleasedSeconds === null) return false;
  return fanStoppedSeconds === null || atSeconds - fanStoppedSeconds < STAGE_SECONDS["fan-off"];
}

/** What a simulated shack sends, W; null = as it likes. */
export function rehearsedWatts(
  { stage, plannedWatts, halted, sinceSeconds }: Course,
  atSeconds: number,
): number | null {
  if (!isLive(stage)) return null;
  if (stage !== "key-down" || halted !== null) return 0;
  return atSeconds - sinceSeconds >= STAGE_SECONDS["key-down"] ? 0 : plannedWatts;
}

/** Seconds in the present stage, and how long it should last. */
export function progress(
  { stage, sinceSeconds, fanStoppedSeconds }: Course,
  atSeconds: number,
): readonly [number, number] {
  if (!isLive(stage)) return [0, 0];
  const since = stage === "fan-off" ? (fanStoppedSeconds ?? atSeconds) : sinceSeconds;
  return [atSeconds - since, STAGE_SECONDS[stage]];
}
