// What the tachometer's pulses and the supply say over time: quiet since when, how irregular, what current a running fan draws.
// Measuring only: whether that is a stall is judged in fan.ts.

import type { FanReading, Readings } from "../readings.ts";
import type { FanSettings } from "./settings.ts";

/** Bounded memory of the pulses; monotonic seconds. */
export type FanPulse = {
  readonly atSeconds: number;
  /** Instant of the last pulse before the line fell quiet; null while pulses come. */
  readonly quietSeconds: number | null;
  /** Since when pulses have been coming; null while quiet. */
  readonly pulsingSeconds: number | null;
  /** Since when the fan has had its supply. */
  readonly poweredSeconds: number;
  /** A supply monitor says that there is no supply. */
  readonly unpowered: boolean;
  readonly meanRpm: number | null;
  /** Running mean of the speed's distance from its mean, over that mean. */
  readonly unsteadiness: number;
  /** How often the speed went through its mean lately, fading, and on which side it was last. */
  readonly swings: number;
  readonly side: -1 | 0 | 1;
  readonly meanVolts: number | null;
  readonly voltsUnsteadiness: number;
  /** Current of the turning fan. */
  readonly runningAmperes: number | null;
  /** Outlet rise when the line fell quiet. */
  readonly riseAtQuietKelvin: number | null;
};

const UNSTEADY_SECONDS = 20;
const SWINGS_SECONDS = 60;
/** Nearer to the mean than this share is no side. */
const SIDE_RATIO = 0.01;
const AMPERES_SECONDS = 60;
/** Below this share of its nominal supply a fan does not run. */
const DEAD_SUPPLY_RATIO = 0.2;
/** One wild reading counts for no more than this. */
const LARGEST_CHANGE = 0.2;

/** Before the first reading. */
export function beginPulse(nowSeconds: number): FanPulse {
  return {
    atSeconds: nowSeconds,
    quietSeconds: null,
    pulsingSeconds: null,
    poweredSeconds: nowSeconds,
    unpowered: false,
    meanRpm: null,
    unsteadiness: 0,
    swings: 0,
    side: 0,
    meanVolts: null,
    voltsUnsteadiness: 0,
    runningAmperes: null,
    riseAtQuietKelvin: null,
  };
}

/** Outlet minus inlet; null when either is not there. */
export function outletRise(readings: Readings): number | null {
  const outlet = readings.outlet?.value ?? null;
  const inlet = readings.inlet?.value ?? null;
  return outlet === null || inlet === null ? null : outlet - inlet;
}

/** The cycle is woken at the delay itself: a rounded clock must not cost it a whole cycle. */
const ROUNDING = 0.98;

/** True when a silence has lasted for the delay. */
export function isSilent(silentSeconds: number, settings: FanSettings): boolean {
  return silentSeconds >= ROUNDING * settings.stallSeconds;
}

/** True when the line gives no pulses now; null when nothing can be said of the line. */
export function isQuiet(fan: FanReading, settings: FanSettings): boolean | null {
  const { rpm, secondsSinceEdge } = fan;
  if (rpm.value === null) {
    // Irregular edges are noise over a fan that turns or stands: a doubt, not a silence. A tachometer that could not be
    // read says nothing, however long ago it last did.
    return rpm.code === "NO_EDGES" ? true : rpm.code === "IRREGULAR" ? false : null;
  }
  return secondsSinceEdge === null ? !(rpm.value > 0) : isSilent(secondsSinceEdge, settings);
}

/** The memory one cycle later. `turning`: the last verdict, so that only a turning fan teaches its current. */
export function advancePulse(
  settings: FanSettings,
  pulse: FanPulse,
  fan: FanReading,
  readings: Readings,
  turning: boolean,
  nowSeconds: number,
): FanPulse {
  const elapsed = nowSeconds - pulse.atSeconds;
  const quiet = isQuiet(fan, settings);
  const rpm = fan.rpm.value;
  const volts = readings.supplyVolts?.value ?? null;
  const amperes = readings.supplyAmperes?.value ?? null;
  const unpowered = volts !== null && volts < DEAD_SUPPLY_RATIO * settings.nominalVolts;
  const weight = elapsed <= 0 ? 0 : elapsed / (elapsed + UNSTEADY_SECONDS);

  let { quietSeconds, pulsingSeconds, riseAtQuietKelvin } = pulse;
  if (quiet === true) {
    if (quietSeconds === null) riseAtQuietKelvin = outletRise(readings);
    if (fan.secondsSinceEdge !== null) quietSeconds = nowSeconds - fan.secondsSinceEdge;
    else quietSeconds ??= nowSeconds;
    pulsingSeconds = null;
  } else if (quiet === false) {
    quietSeconds = null;
    riseAtQuietKelvin = null;
    pulsingSeconds ??= nowSeconds;
  }

  let { meanRpm, unsteadiness, swings, side } = pulse;
  swings *= SWINGS_SECONDS / (SWINGS_SECONDS + Math.max(elapsed, 0));
  if (quiet === false && rpm !== null) {
    const apart = meanRpm === null || meanRpm <= 0 ? 0 : (rpm - meanRpm) / meanRpm;
    meanRpm = meanRpm === null ? rpm : meanRpm + weight * (rpm - meanRpm);
    unsteadiness += weight * (Math.min(Math.abs(apart), LARGEST_CHANGE) - unsteadiness);
    const sideNow = apart > SIDE_RATIO ? 1 : apart < -SIDE_RATIO ? -1 : 0;
    if (sideNow !== 0 && sideNow !== side) {
      swings += side === 0 ? 0 : 1;
      side = sideNow;
    }
  } else if (quiet === true) {
    meanRpm = null;
    unsteadiness = 0;
    swings = 0;
    side = 0;
  }

  let { meanVolts, voltsUnsteadiness } = pulse;
  if (volts !== null) {
    const change = meanVolts === null || meanVolts <= 0 ? 0 : Math.abs(volts - meanVolts) / meanVolts;
    voltsUnsteadiness += weight * (Math.min(change, LARGEST_CHANGE) - voltsUnsteadiness);
    meanVolts = meanVolts === null ? volts : meanVolts + weight * (volts - meanVolts);
  }

  let { runningAmperes } = pulse;
  if (turning && quiet === false && amperes !== null) {
    const share = elapsed <= 0 ? 0 : elapsed / (elapsed + AMPERES_SECONDS);
    runningAmperes = runningAmperes === null ? amperes : runningAmperes + share * (amperes - runningAmperes);
  }

  return {
    atSeconds: nowSeconds,
    quietSeconds,
    pulsingSeconds,
    poweredSeconds: pulse.unpowered && !unpowered ? nowSeconds : pulse.poweredSeconds,
    unpowered,
    meanRpm,
    unsteadiness,
    swings,
    side,
    meanVolts,
    voltsUnsteadiness,
    runningAmperes,
    riseAtQuietKelvin,
  };
}
