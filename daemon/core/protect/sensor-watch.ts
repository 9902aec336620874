// How the two thermometers of the air stream behave in time: how long a number has stood still while others moved, and how it jumps.
// Measuring only; the alarms judge. Memory is a dozen numbers a sensor.

import type { Reading } from "../readings.ts";

/** Bounded memory of one thermometer; monotonic seconds. */
export type SensorWatch = {
  readonly value: number;
  readonly atSeconds: number;
  /** When the number last changed by a single bit. */
  readonly changedSeconds: number;
  /** Usual time that it stands still, and how many such times were seen (no more than counted is kept). */
  readonly usualDwellSeconds: number;
  readonly dwells: number;
  /** The smallest change of late, K: the last digit. */
  readonly stepKelvin: number;
  /** Range of the quantity that should have moved this one, since the last change; null while that is unknown. */
  readonly moverLow: number | null;
  readonly moverHigh: number | null;
  /** Jumps, fading with time. */
  readonly jumps: number;
  /** Last value that was no jump from the one before it. */
  readonly accepted: number;
  /** Since when the number has been somewhere else, and where; null while it is where it was. */
  readonly jumpedSeconds: number | null;
  readonly jumpedTo: number;
  /** Readings in a row that were there. */
  readonly jumpedReadings: number;
  /** How often a reading was missing after one that was there, fading with time; whether the last one was missing, and when it was. */
  readonly dropouts: number;
  readonly missing: boolean;
  readonly heardSeconds: number;
  /** When a number that no air can reach so fast was last taken for true all the same; null = never. */
  readonly settledSeconds: number | null;
};

/** No air, and no sensor in it, changes faster than this between two readings. */
const JUMP_KELVIN = 8;
const JUMP_KELVIN_PER_SECOND = 2;
/** However long nothing was read, the first number after it is not believed on its own when it is so far away. */
const FARTHEST_KELVIN = 25;
/** A number that has stayed for so long where it jumped to is taken for true: what follows from it is the filters' business. */
const JUMP_HOLD_SECONDS = 5;
/** So many readings in a row must be there: with missing ones in between two strays would do. */
const JUMP_READINGS = 4;
const JUMP_SETTLED_KELVIN = 3;
const JUMP_FADE_SECONDS = 600;
const DROPOUT_FADE_SECONDS = 60;
/** After so many jumps a number that is back where it was has to stay there, for random bytes come by there as well. */
const MANY_JUMPS = 2.5;
/** Nobody knows which was the untruth, before the jump or after it: for so long the number is doubted, s. */
const DOUBT_SECONDS = 600;
const ENOUGH_DWELLS = 20;
/** The last digit for which the time of a standing number is set, K. A finer one lives in any air, a coarser one rests through a calm night. */
export const USUAL_STEP_KELVIN = 1 / 16;
/** With each change: the finer digit of a second thermometer in this place is forgotten when that one has died. */
const STEP_FADE = 1.02;

/** The watch one reading later; a missing reading only counts as such. `mover`: what moves this sensor when it is well. */
export function watchSensor(
  watch: SensorWatch | null,
  reading: Reading | null,
  mover: number | null,
  nowSeconds: number,
): SensorWatch | null {
  const value = reading === null ? null : reading.value;
  if (value === null) return watch === null || reading === null ? watch : heard(watch, true, nowSeconds);
  if (watch === null) {
    return {
      value,
      atSeconds: nowSeconds,
      changedSeconds: nowSeconds,
      usualDwellSeconds: 0,
      dwells: 0,
      stepKelvin: Number.POSITIVE_INFINITY,
      moverLow: mover,
      moverHigh: mover,
      jumps: 0,
      accepted: value,
      jumpedSeconds: null,
      jumpedTo: value,
      jumpedReadings: 0,
      settledSeconds: null,
      dropouts: 0,
      missing: false,
      heardSeconds: nowSeconds,
    };
  }
  return watchValue(heard(watch, false, nowSeconds), value, mover, nowSeconds);
}

function heard(watch: SensorWatch, missing: boolean, nowSeconds: number): SensorWatch {
  const elapsed = Math.max(nowSeconds - watch.heardSeconds, 0);
  const faded = watch.dropouts === 0 ? 0 : (watch.dropouts * DROPOUT_FADE_SECONDS) / (DROPOUT_FADE_SECONDS + elapsed);
  const dropouts = faded + (missing && !watch.missing ? 1 : 0);
  return { ...watch, dropouts, missing, heardSeconds: nowSeconds };
}

function watchValue(watch: SensorWatch, value: number, mover: number | null, nowSeconds: number): SensorWatch {
  const elapsed = Math.max(nowSeconds - watch.atSeconds, 0);
  const fade = watch.jumps === 0 ? 0 : watch.jumps * (JUMP_FADE_SECONDS / (JUMP_FADE_SECONDS + elapsed));
  let { accepted, jumpedSeconds, jumpedTo, jumpedReadings, settledSeconds } = watch;
  let jumps = fade;
  const reachKelvin = Math.min(JUMP_KELVIN + JUMP_KELVIN_PER_SECOND * elapsed, FARTHEST_KELVIN);
  const near = Math.abs(value - accepted) <= reachKelvin;
  if (near && (jumpedSeconds === null || fade < MANY_JUMPS)) {
    accepted = value;
    jumpedSeconds = null;
  } else if (jumpedSeconds === null || Math.abs(value - jumpedTo) > JUMP_SETTLED_KELVIN) {
    jumpedSeconds = nowSeconds;
    jumpedTo = value;
    jumpedReadings = 1;
    jumps += 1;
  } else if (nowSeconds - jumpedSeconds < JUMP_HOLD_SECONDS || jumpedReadings + 1 < JUMP_READINGS) {
    jumpedReadings += 1;
  } else {
    accepted = value;
    jumpedSeconds = null;
    if (!near) settledSeconds = nowSeconds;
  }
  if (value === watch.value) {
    const { moverLow: low, moverHigh: high } = watch;
    const moverLow = mover === null || low === null ? (low ?? mover) : Math.min(low, mover);
    const moverHigh = mover === null || high === null ? (high ?? mover) : Math.max(high, mover);
    const jump = { jumps, accepted, jumpedSeconds, jumpedTo, jumpedReadings, settledSeconds };
    return { ...watch, atSeconds: nowSeconds, moverLow, moverHigh, ...jump };
  }
  const dwell = nowSeconds - watch.changedSeconds;
  const dwells = Math.min(watch.dwells + 1, 1000);
  return {
    ...watch,
    value,
    atSeconds: nowSeconds,
    changedSeconds: nowSeconds,
    usualDwellSeconds: watch.usualDwellSeconds + (dwell - watch.usualDwellSeconds) / Math.min(dwells, 100),
    dwells,
    stepKelvin: Math.min(watch.stepKelvin * STEP_FADE, Math.abs(value - watch.value)),
    moverLow: mover,
    moverHigh: mover,
    jumps,
    accepted,
    jumpedSeconds,
    jumpedTo,
    jumpedReadings,
    settledSeconds,
  };
}

/** True while the number is somewhere no air can have taken it so fast. */
export function isJumping(watch: SensorWatch | null): boolean {
  return watch !== null && watch.jumpedSeconds !== null;
}

/** True for some minutes after a jump that lasted: what is read since may be true, and may not. */
export function isDoubted(watch: SensorWatch | null, nowSeconds: number): boolean {
  return watch !== null && watch.settledSeconds !== null && nowSeconds - watch.settledSeconds < DOUBT_SECONDS;
}

/** How long the number has stood still, s. */
export function stillSeconds(watch: SensorWatch, nowSeconds: number): number {
  return nowSeconds - watch.changedSeconds;
}

/** How far the mover moved while this one stood still, K. */
export function moverRange(watch: SensorWatch): number {
  return watch.moverLow === null || watch.moverHigh === null ? 0 : watch.moverHigh - watch.moverLow;
}

/** How many times longer than usual the number has stood still; 0 while what is usual is not known. */
export function unusualStillness(watch: SensorWatch, nowSeconds: number): number {
  if (watch.dwells < ENOUGH_DWELLS) return 0;
  return stillSeconds(watch, nowSeconds) / Math.max(watch.usualDwellSeconds, 1);
}
