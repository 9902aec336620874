// Config and model → the frozen program that step() runs. What the config leaves out keeps the program's own default.

import { HARDWARE_ERRORS, HARDWARE_REMEDIES, type HardwareErrorCode } from "../../hardware/errors.ts";
import type { Model } from "../core/estimate/model.ts";
import type { CodeMeanings } from "../core/protect/code-meaning.ts";
import { DEFAULT_PROTECTION, limitsBelow, type ProtectionSettings } from "../core/protect/settings.ts";
import { checkSettings } from "../core/protect/settings-check.ts";
import { defineProgram, type Program } from "../core/step.ts";
import { coreOf } from "./model.ts";
import type { ReadConfig } from "./parse.ts";
import { RequestError } from "./problem.ts";
import type { Config } from "./schema/config.ts";

/** The hardware's own list, which the core may not know. */
const CODE_MEANINGS: CodeMeanings = Object.fromEntries(
  Object.entries(HARDWARE_ERRORS).map(([code, words]) => [
    code,
    { words, remedy: HARDWARE_REMEDIES[code as HardwareErrorCode] },
  ]),
);

/** The config's keys for the settings that a check may name. */
const KEYS: Readonly<Record<string, readonly [table: string, key: string]>> = {
  "limits.limitCelsius": ["limits", "core"],
  "limits.reduceCelsius": ["limits", "reduce"],
  "limits.alarmCelsius": ["limits", "alarm"],
  "limits.resetCelsius": ["limits", "reset"],
  "limits.inhibitDeadbandKelvin": ["limits", "inhibit_deadband"],
  "limits.curieCelsius": ["transformer", "curie"],
  "limits.outletReduceCelsius": ["limits", "outlet_reduce"],
  "limits.outletLimitCelsius": ["limits", "outlet"],
  "limits.longestBypassSeconds": ["limits", "longest_bypass"],
  "limits.estimateGraceSeconds": ["limits", "estimate_grace"],
  "limits.witnessGraceSeconds": ["limits", "witness_grace"],
  "alarms.longestShelvingSeconds": ["alarms", "longest_shelving"],
  "fan.nominalRpm": ["fan", "nominal_speed"],
  "fan.nominalVolts": ["fan", "nominal_supply"],
  "fan.pulsesPerRevolution": ["fan", "pulses_per_revolution"],
  "fan.slowRatio": ["fan", "slow"],
  "fan.stallSeconds": ["fan", "stall"],
  "fan.startSeconds": ["fan", "start"],
};

/** @throws RequestError with every setting that contradicts another */
export function programOf(read: ReadConfig, model: Model): Program {
  const settings = settingsOf(read);
  const problems = checkSettings(settings).map(({ what, expected, got }) => {
    const key = KEYS[what];
    // Words that name a setting of the program name the config's key instead.
    const said = expected.replace(/\b(?:limits|fan|alarms)\.\w+/g, (name) => KEYS[name]?.join(".") ?? name);
    return { what: key?.join(".") ?? what, where: read.placeOf(key ?? []), expected: said, got };
  });
  if (problems.length > 0) throw new RequestError(problems);
  return defineProgram(model, settings);
}

/** What the config says of protection; `programOf` holds the settings against each other. */
export function settingsOf(read: ReadConfig): ProtectionSettings {
  const { config } = read;
  return {
    limits: limitsOf(config, coreOf(read).mix.curieCelsius),
    fan: config.tach.fitted ? fanOf(config) : null,
    alarms: alarmsOf(config),
    fullDriveWatts: config.station.full_drive,
    cycleSeconds: DEFAULT_PROTECTION.cycleSeconds,
    codes: CODE_MEANINGS,
  };
}

/** Takes out what was not given, so that a default under it shows through. */
function given<T extends object>(partial: { readonly [key in keyof T]?: T[key] | undefined }): Partial<T> {
  return Object.fromEntries(Object.entries(partial).filter(([, value]) => value !== undefined)) as Partial<T>;
}

/**
 * What is not set keeps its usual distance below what is, so that a lower limit lowers all that lies under it. Without a Curie
 * point of its own the mix gets the default, the lowest among the usual ones; that one does not move with the limit.
 */
function limitsOf({ limits }: Config, curieCelsius: number | null): ProtectionSettings["limits"] {
  return {
    ...limitsBelow(limits.core ?? DEFAULT_PROTECTION.limits.limitCelsius, limits.reduce),
    curieCelsius: curieCelsius ?? DEFAULT_PROTECTION.limits.curieCelsius,
    ...given<ProtectionSettings["limits"]>({
      alarmCelsius: limits.alarm,
      resetCelsius: limits.reset,
      inhibitDeadbandKelvin: limits.inhibit_deadband,
      outletReduceCelsius: limits.outlet_reduce,
      outletLimitCelsius: limits.outlet,
      witnessMarginKelvin: limits.witness_margin,
      minimumReducedSeconds: limits.minimum_reduced,
      estimateGraceSeconds: limits.estimate_grace,
      witnessGraceSeconds: limits.witness_grace,
      longestBypassSeconds: limits.longest_bypass,
    }),
  };
}

function fanOf({ fan }: Config): NonNullable<ProtectionSettings["fan"]> {
  const { power_cycle } = fan;
  return {
    ...DEFAULT_PROTECTION.fan,
    nominalRpm: fan.nominal_speed,
    nominalVolts: fan.nominal_supply,
    pulsesPerRevolution: fan.pulses_per_revolution,
    ...given<NonNullable<ProtectionSettings["fan"]>>({
      startSeconds: fan.start,
      stallSeconds: fan.stall,
      slowRatio: fan.slow,
      surgeRatio: fan.surge,
      longestOffSeconds: fan.longest_off,
    }),
    powerCycle:
      power_cycle === undefined
        ? null
        : { attempts: power_cycle.attempts, offSeconds: power_cycle.off, waitSeconds: power_cycle.wait },
  };
}

function alarmsOf({ alarms }: Config): ProtectionSettings["alarms"] {
  return {
    ...DEFAULT_PROTECTION.alarms,
    ...given<ProtectionSettings["alarms"]>({
      longestShelvingSeconds: alarms.longest_shelving,
      flowFactor: alarms.flow_factor,
      lossFactor: alarms.loss_factor,
      disagreementKelvin: alarms.disagreement,
      innovationSquared: alarms.innovation,
      condensationKelvin: alarms.condensation,
      supplyRatio: alarms.supply,
      stuckSeconds: alarms.stuck,
      swappedSeconds: alarms.swapped,
      upsetsPerMinute: alarms.upsets_per_minute,
      drivePowerRatio: alarms.drive_ratio,
      keyingSeconds: alarms.keying,
      diskFreeRatio: alarms.disk_free,
      serviceSilentSeconds: alarms.service_silent,
      cycleLateSeconds: alarms.cycle_late,
      rigLinkSeconds: alarms.rig_link,
      proofTestDays: alarms.proof_test_days,
    }),
    ...(alarms.buzzer_from === undefined
      ? {}
      : { buzzerFrom: alarms.buzzer_from === "never" ? null : alarms.buzzer_from }),
  };
}
