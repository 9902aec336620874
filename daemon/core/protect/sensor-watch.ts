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
  /** Range of the quantity that should have moved this one, since the last change; null while that is unknown. */
  readonly moverLow: number | null;
  readonly moverHigh: number | null;
  /** Jumps, fading with time. */
  readonly jumps: number;
  /** The last reading was a jump. */
  readonly jumping: boolean;
};

const JUMP_KELVIN = 8;
const JUMP_KELVIN_PER_SECOND = 2;
const JUMP_FADE_SECONDS = 600;
const ENOUGH_DWELLS = 20;

/** The watch one reading later; a missing reading changes nothing. `mover`: what moves this sensor when it is well. */
export function watchSensor(
  watch: SensorWatch | null,
  reading: Reading | null,
  mover: number | null,
  nowSeconds: number,
): SensorWatch | null {
  const value = reading === null ? null : reading.value;
  if (value === null) return watch;
  if (watch === null) {
    return {
      value,
      atSeconds: nowSeconds,
      changedSeconds: nowSeconds,
      usualDwellSeconds: 0,
      dwells: 0,
      moverLow: mover,
      moverHigh: mover,
      jumps: 0,
      jumping: false,
    };
  }
  const elapsed = Math.max(nowSeconds - watch.atSeconds, 0);
  const jumps = watch.jumps === 0 ? 0 : watch.jumps * (JUMP_FADE_SECONDS / (JUMP_FADE_SECONDS + elapsed));
  if (value === watch.value) {
    const moverLow =
      mover === null || watch.moverLow === null ? (watch.moverLow ?? mover) : Math.min(watch.moverLow, mover);
    const moverHigh =
      mover === null || watch.moverHigh === null ? (watch.moverHigh ?? mover) : Math.max(watch.moverHigh, mover);
    return { ...watch, atSeconds: nowSeconds, moverLow, moverHigh, jumps, jumping: false };
  }
  const jumping = Math.abs(value - watch.value) > JUMP_KELVIN + JUMP_KELVIN_PER_SECOND * elapsed;
  const dwell = nowSeconds - watch.changedSeconds;
  const dwells = Math.min(watch.dwells + 1, 1000);
  return {
    value,
    atSeconds: nowSeconds,
    changedSeconds: nowSeconds,
    usualDwellSeconds: watch.usualDwellSeconds + (dwell - watch.usualDwellSeconds) / Math.min(dwells, 100),
    dwells,
    moverLow: mover,
    moverHigh: mover,
    jumps: jumping ? jumps + 1 : jumps,
    jumping,
  };
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
