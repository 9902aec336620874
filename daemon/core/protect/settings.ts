// What an operator may set about protection: limits, fan, supply, alarm setpoints, terms of bypass, shelving and proof test.
// Plain data with defaults that run; checked in settings-check.ts, decides nothing.

import type { CodeMeanings } from "./code-meaning.ts";

/** Temperatures and times of the power stages. */
export type Limits = {
  /** Upper bound of the core at which the power is taken off. */
  readonly limitCelsius: number;
  /** Upper bound of the core at which the power is reduced. */
  readonly reduceCelsius: number;
  /** Upper bound of the core at which the operator is warned, so that there is something left to do. */
  readonly alarmCelsius: number;
  /** `reduced` returns to `full` at or below this. */
  readonly resetCelsius: number;
  /** `inhibited` may be reset only this far below the limit. */
  readonly inhibitDeadbandKelvin: number;
  /** Lower end of where the ferrite's Curie point may lie. */
  readonly curieCelsius: number;
  /** Air at the outlet that reduces and takes off the power whatever the model says. */
  readonly outletReduceCelsius: number;
  readonly outletLimitCelsius: number;
  /** The plain heat balance outvotes the filter only when it stands this far above a limit. */
  readonly witnessMarginKelvin: number;
  readonly minimumReducedSeconds: number;
  /** How old the last usable estimate may be while a line is energised. */
  readonly estimateGraceSeconds: number;
  /** How long a witness may be bad before it votes toward the trip. */
  readonly witnessGraceSeconds: number;
  readonly longestBypassSeconds: number;
};

/** Power-cycling of a stalled fan over a switch line. */
export type PowerCycleSettings = {
  readonly attempts: number;
  readonly offSeconds: number;
  readonly waitSeconds: number;
};

export type FanSettings = {
  readonly nominalRpm: number;
  readonly nominalVolts: number;
  readonly pulsesPerRevolution: number;
  /** After power comes on, or at start, before a quiet line is a stall. */
  readonly startSeconds: number;
  /** A quiet line for this long is a stall. */
  readonly stallSeconds: number;
  /** Share of the expected speed below which the fan is slow. */
  readonly slowRatio: number;
  /** Mean distance of the speed from its mean, over that mean, above which a speed that goes up and down surges. */
  readonly surgeRatio: number;
  /** Regularity of the pulses below which they are no fan's. */
  readonly noiseRegularity: number;
  /** Running time over which the expected speed is learned; afterwards it stands. */
  readonly learnSeconds: number;
  readonly longestOffSeconds: number;
  /** null = no switch line, or not wanted. */
  readonly powerCycle: PowerCycleSettings | null;
};

/** Setpoints of alarms that no stage uses. */
export type AlarmSettings = {
  readonly longestShelvingSeconds: number;
  readonly flowFactor: number;
  readonly lossFactor: number;
  readonly disagreementKelvin: number;
  readonly innovationSquared: number;
  /** Wall above dew point, K. */
  readonly condensationKelvin: number;
  /** Share of the nominal fan supply. */
  readonly supplyRatio: number;
  readonly stuckSeconds: number;
  readonly swappedSeconds: number;
  /** Sensor errors per minute while transmitting. */
  readonly upsetsPerMinute: number;
  /** Mean power by one source over that by another. */
  readonly drivePowerRatio: number;
  /** For so long two sources contradict each other about the key. */
  readonly keyingSeconds: number;
  readonly diskFreeRatio: number;
  readonly serviceSilentSeconds: number;
  readonly cycleLateSeconds: number;
  readonly residentBytes: number;
  readonly rigLinkSeconds: number;
  readonly proofTestDays: number;
  /** Lowest priority that sounds the horn line; null = never. */
  readonly buzzerFrom: "high" | "medium" | "low" | null;
};

/** Everything an operator may set about protection, and the words for what may be wrong with a reading. */
export type ProtectionSettings = {
  readonly limits: Limits;
  /** null = no tachometer is fitted. */
  readonly fan: FanSettings | null;
  readonly alarms: AlarmSettings;
  /** Largest drive the transmitter can make; null = not known, and no process safety time is stated. */
  readonly fullDriveWatts: number | null;
  /** Usual time between cycles. */
  readonly cycleSeconds: number;
  readonly codes: CodeMeanings;
};

/** Defaults that run. */
export const DEFAULT_PROTECTION: ProtectionSettings & { readonly fan: FanSettings } = {
  limits: {
    limitCelsius: 110,
    reduceCelsius: 100,
    alarmCelsius: 95,
    resetCelsius: 85,
    inhibitDeadbandKelvin: 5,
    curieCelsius: 130,
    outletReduceCelsius: 65,
    outletLimitCelsius: 80,
    witnessMarginKelvin: 20,
    minimumReducedSeconds: 120,
    estimateGraceSeconds: 5,
    witnessGraceSeconds: 30,
    longestBypassSeconds: 1800,
  },
  fan: {
    nominalRpm: 11_000,
    nominalVolts: 12,
    pulsesPerRevolution: 2,
    startSeconds: 5,
    stallSeconds: 0.3,
    slowRatio: 0.85,
    surgeRatio: 0.03,
    noiseRegularity: 0.5,
    learnSeconds: 6 * 3600,
    longestOffSeconds: 12 * 3600,
    powerCycle: null,
  },
  alarms: {
    longestShelvingSeconds: 8 * 3600,
    flowFactor: 0.7,
    lossFactor: 1.4,
    disagreementKelvin: 15,
    innovationSquared: 6,
    condensationKelvin: 1,
    supplyRatio: 0.85,
    stuckSeconds: 900,
    swappedSeconds: 300,
    upsetsPerMinute: 2,
    drivePowerRatio: 1.5,
    keyingSeconds: 20,
    diskFreeRatio: 0.05,
    serviceSilentSeconds: 5,
    cycleLateSeconds: 0.25,
    residentBytes: 256 * 1024 * 1024,
    rigLinkSeconds: 30,
    proofTestDays: 365,
    buzzerFrom: "high",
  },
  fullDriveWatts: 1500,
  cycleSeconds: 1,
  codes: {},
};

/**
 * The usual distances below a limit of the operator's choice, and below a reduce point of his own where he has one;
 * everything else as in the defaults.
 */
export function limitsBelow(limitCelsius: number, reduceCelsius = limitCelsius - 10): Limits {
  return {
    ...DEFAULT_PROTECTION.limits,
    limitCelsius,
    reduceCelsius,
    alarmCelsius: reduceCelsius - 5,
    resetCelsius: reduceCelsius - 15,
    curieCelsius: Math.max(DEFAULT_PROTECTION.limits.curieCelsius, limitCelsius + 20),
  };
}
