// The frozen program of one feedpoint: its model and its settings, checked once, with everything that follows from them.
// Born complete; step() never changes it.

import { boxConstantsOf, type Model } from "../estimate/model.ts";
import type { BoxConstants } from "../physics/box.ts";
import { type Alarm, rationaliseAlarms } from "./alarm-list.ts";
import type { Watch } from "./alarms.ts";
import { CONDITIONS } from "./conditions/all.ts";
import { fanMark, modelMark } from "./mark.ts";
import { processSafetySeconds } from "./process-safety.ts";
import type { ProtectionSettings } from "./settings.ts";
import { checkSettings } from "./settings-check.ts";

export type Program = ProtectionSettings & {
  readonly model: Model;
  /** The model's constants without their uncertainties. */
  readonly box: BoxConstants;
  /** What is learned is relative to these. */
  readonly modelMark: string;
  readonly fanMark: string;
  /** The rationalised list for these settings, high priority first. */
  readonly alarmList: readonly Alarm[];
  /** The same list, each alarm with its condition. */
  readonly watches: readonly Watch[];
  /** Full drive with the fan stopped, from the trip point to the Curie point, s; null = never gets there or not known. */
  readonly processSafetySeconds: number | null;
  /** Detection of a stall plus one cycle for the relay, as planned, s; null = no fan is watched. */
  readonly plannedReactionSeconds: number | null;
  /** What is allowed but unwise, one line each, to be shown at start. */
  readonly warnings: readonly string[];
};

/** The process safety time is to be so many times the reaction. */
export const SAFETY_MARGIN = 3;

function warningsFor(settings: ProtectionSettings, safety: number | null, reaction: number | null): string[] {
  const warnings: string[] = [];
  const { limits } = settings;
  if (safety !== null && reaction !== null && safety < SAFETY_MARGIN * reaction) {
    warnings.push(
      `from ${limits.limitCelsius} °C to the Curie point the core needs ${safety.toFixed(1)} s at full drive with the fan stopped, ` +
        `less than ${SAFETY_MARGIN} times the ${reaction.toFixed(1)} s that detection and relay take: lower limits.limitCelsius`,
    );
  }
  if (limits.curieCelsius - limits.limitCelsius < 10) {
    warnings.push(
      `the limit of ${limits.limitCelsius} °C is less than 10 K below the Curie point of ${limits.curieCelsius} °C`,
    );
  }
  if (settings.fan === null)
    warnings.push("no tachometer is configured: a stalled fan is seen only by the heat it causes");
  if (settings.fullDriveWatts === null)
    warnings.push("the full drive is not configured: no process safety time is stated");
  return warnings;
}

/** A program from a model and settings. @throws RangeError naming every setting that cannot be. */
export function defineProgram(model: Model, settings: ProtectionSettings): Program {
  const faults = checkSettings(settings);
  if (faults.length > 0) {
    throw new RangeError(
      faults.map(({ what, expected, got }) => `${what}: expected ${expected}, got ${got}`).join("\n"),
    );
  }
  const { limits, fan, fullDriveWatts } = settings;
  const safety =
    fullDriveWatts === null
      ? null
      : processSafetySeconds(model, fullDriveWatts, limits.limitCelsius, limits.curieCelsius);
  const alarmList = rationaliseAlarms(settings);
  const reaction = fan === null ? null : fan.stallSeconds + settings.cycleSeconds;
  return Object.freeze({
    ...settings,
    model,
    box: boxConstantsOf(model),
    modelMark: modelMark(model),
    fanMark: fanMark(fan),
    alarmList,
    watches: Object.freeze(alarmList.map((alarm) => ({ alarm, condition: CONDITIONS[alarm.tag] }))),
    processSafetySeconds: safety,
    plannedReactionSeconds: reaction,
    warnings: Object.freeze(warningsFor(settings, safety, reaction)),
  });
}
