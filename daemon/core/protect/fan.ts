// Fan health: one verdict from pulses, supply and air, and since when its witness cannot be believed.
// It asks for nothing and trips nothing: the stages and the alarms read the verdict.

import type { FanVerdict } from "../effects.ts";
import type { FanReading, Readings } from "../readings.ts";
import { advancePulse, beginPulse, type FanPulse, isQuiet, isSilent, outletRise } from "./fan-pulse.ts";
import { expectedSpeed, LEARN_EVERY_SECONDS, type LearnedSpeed, learnSpeed, UNLEARNED_SPEED } from "./fan-speed.ts";
import type { FanSettings } from "./settings.ts";

/** What is believed of the fan; monotonic seconds. */
export type FanHealth = {
  readonly verdict: FanVerdict;
  readonly sinceSeconds: number;
  /** Since when nobody can tell whether the fan turns; null while somebody can. */
  readonly doubtSeconds: number | null;
  /** From the last good pulse to the verdict, at the last stall seen. */
  readonly detectionSeconds: number | null;
  /** Speed over expected speed; null when there is no speed. */
  readonly speedRatio: number | null;
  readonly pulse: FanPulse;
  readonly learned: LearnedSpeed;
  readonly taughtSeconds: number;
};

/** One change of the set speed is no surge: it goes up and down again. */
const SURGE_SWINGS = 3;
/** A line that is read as a speed above this share of what the supply allows is noise. */
const FASTEST_RATIO = 1.5;
/** A running fan draws at least this share of the current learned. */
const IDLE_CURRENT_RATIO = 0.15;
/** Within this share of the current learned a quiet fan may be a turning one with a lost lead. */
const SAME_CURRENT_RATIO = 0.2;
/** So long the air must have gone on as before. */
const AGREEMENT_SECONDS = 60;
/** Below this rise the air proves nothing. */
const TELLING_RISE_KELVIN = 3;
/** No fan that was ever good runs below this share of its data sheet, whatever was learned. */
const SLOWEST_RATIO = 0.65;

/** Before the first reading. `learned` comes from the last run of the same fan. */
export function beginFan(nowSeconds: number, learned: LearnedSpeed | null): FanHealth {
  return {
    verdict: "unknown",
    sinceSeconds: nowSeconds,
    doubtSeconds: null,
    detectionSeconds: null,
    speedRatio: null,
    pulse: beginPulse(nowSeconds),
    learned: learned ?? UNLEARNED_SPEED,
    taughtSeconds: nowSeconds,
  };
}

/** A current like a turning fan's, and air that goes on as before: the lead is lost, not the fan. */
function onlyLeadLost(health: FanHealth, pulse: FanPulse, readings: Readings, silentSeconds: number): boolean {
  const amperes = readings.supplyAmperes?.value ?? null;
  const rise = outletRise(readings);
  const then = pulse.riseAtQuietKelvin;
  if (amperes === null || pulse.runningAmperes === null) return false;
  if (Math.abs(amperes - pulse.runningAmperes) > SAME_CURRENT_RATIO * pulse.runningAmperes) return false;
  // Once told, the air may go its way with the drive: only the current can take it back.
  if (health.verdict === "doubtful" && health.pulse.quietSeconds !== null) return true;
  if (rise === null || then === null || silentSeconds < AGREEMENT_SECONDS || then < TELLING_RISE_KELVIN) return false;
  return Math.abs(rise - then) <= Math.max(1, 0.25 * then);
}

function isNoise(settings: FanSettings, pulse: FanPulse, fan: FanReading, readings: Readings): boolean {
  if (fan.rpm.value === null) return true;
  if (fan.regularity !== null && fan.regularity < settings.noiseRegularity) return true;
  const voltsRatio = (readings.supplyVolts?.value ?? settings.nominalVolts) / settings.nominalVolts;
  if (fan.rpm.value > FASTEST_RATIO * settings.nominalRpm * Math.max(voltsRatio, 0.5)) return true;
  const amperes = readings.supplyAmperes?.value ?? null;
  if (pulse.unpowered) return true;
  return amperes !== null && pulse.runningAmperes !== null && amperes < IDLE_CURRENT_RATIO * pulse.runningAmperes;
}

function judgeQuiet(
  settings: FanSettings,
  health: FanHealth,
  pulse: FanPulse,
  readings: Readings,
  offOnPurpose: boolean,
  nowSeconds: number,
): FanVerdict {
  if (offOnPurpose) return "off on purpose";
  const silentSeconds = pulse.quietSeconds === null ? 0 : nowSeconds - pulse.quietSeconds;
  const before = health.verdict;
  const neverTurned = before === "unknown" || before === "starting" || before === "off on purpose";
  if (pulse.unpowered) return isSilent(silentSeconds, settings) ? "stalled" : before;
  const startsUntil = pulse.poweredSeconds + settings.startSeconds;
  if (neverTurned && nowSeconds < startsUntil) return "starting";
  if (!isSilent(silentSeconds, settings) && !neverTurned) return before;
  return onlyLeadLost(health, pulse, readings, silentSeconds) ? "doubtful" : "stalled";
}

function judgePulses(
  settings: FanSettings,
  health: FanHealth,
  pulse: FanPulse,
  fan: FanReading,
  readings: Readings,
  nowSeconds: number,
): { verdict: FanVerdict; speedRatio: number | null } {
  const rpm = fan.rpm.value;
  if (rpm === null || isNoise(settings, pulse, fan, readings)) return { verdict: "doubtful", speedRatio: null };
  const voltsRatio = (readings.supplyVolts?.value ?? settings.nominalVolts) / settings.nominalVolts;
  const expected = expectedSpeed(health.learned, voltsRatio, readings.inlet?.value ?? 20);
  const ratio = rpm / settings.nominalRpm;
  const speedRatio = ratio / expected.ratio;
  const spinning = pulse.pulsingSeconds === null ? 0 : nowSeconds - pulse.pulsingSeconds;
  // A fan that was slow stays so until it is clearly faster again.
  const deadband = health.verdict === "slow" ? 0.03 : 0;
  const slowest = Math.max(
    settings.slowRatio * expected.ratio - 2 * expected.uncertaintyRatio,
    SLOWEST_RATIO * Math.min(voltsRatio, 1),
  );
  if (ratio < slowest + deadband) {
    return { verdict: spinning < settings.startSeconds ? "starting" : "slow", speedRatio };
  }
  const unsteady =
    pulse.unsteadiness > settings.surgeRatio &&
    pulse.swings >= SURGE_SWINGS &&
    pulse.voltsUnsteadiness < settings.surgeRatio / 2;
  return { verdict: unsteady && spinning >= settings.startSeconds ? "surging" : "turning", speedRatio };
}

/** Fan health one cycle later. `offOnPurpose`: the operator has switched it off. */
export function advanceFan(
  settings: FanSettings,
  health: FanHealth,
  readings: Readings,
  offOnPurpose: boolean,
  nowSeconds: number,
): FanHealth {
  const fan = readings.fan;
  if (fan === null) {
    if (health.verdict === "unknown" && health.doubtSeconds === null) return health;
    return { ...health, verdict: "unknown", sinceSeconds: nowSeconds, doubtSeconds: null, speedRatio: null };
  }
  const pulse = advancePulse(settings, health.pulse, fan, readings, health.verdict === "turning", nowSeconds);
  const quiet = isQuiet(fan, settings);
  let verdict: FanVerdict = "unknown";
  let speedRatio: number | null = null;
  if (quiet === true) {
    verdict = judgeQuiet(settings, health, pulse, readings, offOnPurpose, nowSeconds);
  } else if (quiet === false) {
    ({ verdict, speedRatio } = judgePulses(settings, health, pulse, fan, readings, nowSeconds));
  }

  let { learned, taughtSeconds, detectionSeconds } = health;
  const running = pulse.pulsingSeconds === null ? 0 : nowSeconds - pulse.pulsingSeconds;
  if (
    verdict === "turning" &&
    learned.learnedSeconds < settings.learnSeconds &&
    nowSeconds - taughtSeconds >= LEARN_EVERY_SECONDS &&
    running >= settings.startSeconds + LEARN_EVERY_SECONDS
  ) {
    const voltsRatio = (readings.supplyVolts?.value ?? settings.nominalVolts) / settings.nominalVolts;
    const ratio = (fan.rpm.value ?? settings.nominalRpm) / settings.nominalRpm;
    learned = learnSpeed(learned, ratio, voltsRatio, readings.inlet?.value ?? 20, LEARN_EVERY_SECONDS);
    taughtSeconds = nowSeconds;
  }
  const quietBefore =
    health.verdict === "stalled" || (health.verdict === "doubtful" && health.pulse.quietSeconds !== null);
  if (verdict === "stalled" && !quietBefore && pulse.quietSeconds !== null) {
    detectionSeconds = nowSeconds - pulse.quietSeconds;
  }
  const inDoubt = verdict === "unknown" || verdict === "doubtful";
  return {
    verdict,
    sinceSeconds: verdict === health.verdict ? health.sinceSeconds : nowSeconds,
    doubtSeconds: inDoubt ? (health.doubtSeconds ?? (quiet === true ? pulse.quietSeconds : nowSeconds)) : null,
    detectionSeconds,
    speedRatio,
    pulse,
    learned,
    taughtSeconds,
  };
}

/** Forgets the learned speed and current: another fan. */
export function replaceFan(health: FanHealth): FanHealth {
  return { ...health, learned: UNLEARNED_SPEED, pulse: { ...health.pulse, runningAmperes: null } };
}

/** What the estimator may believe: whether the air is driven, null when nobody can tell. */
export function turnsFor(verdict: FanVerdict): boolean | null {
  switch (verdict) {
    case "turning":
    case "slow":
    case "surging":
      return true;
    case "stalled":
    case "off on purpose":
      return false;
    case "starting":
    case "doubtful":
    case "unknown":
      return null;
  }
}
