// Which settings cannot be, and why: one fault for each, so that an operator corrects a configuration once.
// It changes nothing and falls back on nothing.

import type { ProtectionSettings } from "./settings.ts";

/** A setting that cannot be. */
export type SettingFault = { readonly what: string; readonly expected: string; readonly got: string };

/** Every setting that cannot be, by its key as in this file; empty when all is well. */
export function checkSettings(settings: ProtectionSettings): readonly SettingFault[] {
  const faults: SettingFault[] = [];
  const require = (what: string, value: number, fits: boolean, expected: string): void => {
    if (!(Number.isFinite(value) && fits)) faults.push({ what, expected, got: String(value) });
  };
  const { limits, fan, alarms } = settings;
  for (const [group, numbers] of [
    ["limits", limits],
    ["alarms", alarms],
    ["fan", fan ?? {}],
  ] as const) {
    for (const [key, value] of Object.entries(numbers)) {
      if (typeof value === "number") require(`${group}.${key}`, value, value >= 0, "a number of 0 or more");
    }
  }
  require("limits.curieCelsius", limits.curieCelsius, limits.curieCelsius >
    limits.limitCelsius, `more than limits.limitCelsius (${limits.limitCelsius})`);
  require("limits.reduceCelsius", limits.reduceCelsius, limits.reduceCelsius <
    limits.limitCelsius, `less than limits.limitCelsius (${limits.limitCelsius})`);
  require("limits.alarmCelsius", limits.alarmCelsius, limits.alarmCelsius <=
    limits.reduceCelsius, `at most limits.reduceCelsius (${limits.reduceCelsius})`);
  require("limits.resetCelsius", limits.resetCelsius, limits.resetCelsius <
    limits.reduceCelsius, `less than limits.reduceCelsius (${limits.reduceCelsius})`);
  require("limits.outletReduceCelsius", limits.outletReduceCelsius, limits.outletReduceCelsius <
    limits.outletLimitCelsius, `less than limits.outletLimitCelsius (${limits.outletLimitCelsius})`);
  require("limits.longestBypassSeconds", limits.longestBypassSeconds, limits.longestBypassSeconds <=
    86_400, "at most a day");
  require("limits.estimateGraceSeconds", limits.estimateGraceSeconds, limits.estimateGraceSeconds <=
    60, "at most a minute");
  require("limits.witnessGraceSeconds", limits.witnessGraceSeconds, limits.witnessGraceSeconds <=
    600, "at most ten minutes");
  require("alarms.longestShelvingSeconds", alarms.longestShelvingSeconds, alarms.longestShelvingSeconds <=
    7 * 86_400, "at most a week");
  require("cycleSeconds", settings.cycleSeconds, settings.cycleSeconds > 0 &&
    settings.cycleSeconds <= 10, "more than 0, at most 10");
  if (settings.fullDriveWatts !== null) {
    require("fullDriveWatts", settings.fullDriveWatts, settings.fullDriveWatts > 0, "more than 0");
  }
  if (fan !== null) {
    require("fan.nominalRpm", fan.nominalRpm, fan.nominalRpm > 0, "more than 0");
    require("fan.nominalVolts", fan.nominalVolts, fan.nominalVolts > 0, "more than 0");
    require("fan.pulsesPerRevolution", fan.pulsesPerRevolution, fan.pulsesPerRevolution >= 1, "at least 1");
    require("fan.slowRatio", fan.slowRatio, fan.slowRatio < 1, "less than 1");
    const slowestGap = 60 / (fan.nominalRpm * fan.pulsesPerRevolution);
    require("fan.stallSeconds", fan.stallSeconds, fan.stallSeconds >= 5 * slowestGap &&
      fan.stallSeconds <= 60, `from five gaps between pulses (${(5 * slowestGap).toFixed(3)}) to 60`);
    require("fan.startSeconds", fan.startSeconds, fan.startSeconds <= 60, "at most a minute");
    if (fan.powerCycle !== null) {
      const { attempts, offSeconds, waitSeconds } = fan.powerCycle;
      require("fan.powerCycle.attempts", attempts, Number.isInteger(attempts) &&
        attempts >= 1 &&
        attempts <= 10, "a whole number from 1 to 10");
      require("fan.powerCycle.offSeconds", offSeconds, offSeconds > 0 && offSeconds <= 60, "more than 0, at most 60");
      require("fan.powerCycle.waitSeconds", waitSeconds, waitSeconds >= 5, "at least 5");
    }
  }
  return faults;
}
