// The causes that demand a lower power stage: the votes of both channels and of the fan, as bits, each with its words.
// It says what is demanded now; what follows from a demand is in stages.ts.

import type { Estimate } from "../estimate/estimate.ts";
import type { FanHealth } from "./fan.ts";
import type { Limits } from "./settings.ts";
import type { Witness } from "./witness.ts";

/** One bit per cause. */
export const CAUSE = {
  beginning: 1 << 0,
  noEstimate: 1 << 1,
  boundAtLimit: 1 << 2,
  witnessAtLimit: 1 << 3,
  outletAtLimit: 1 << 4,
  boundHigh: 1 << 5,
  witnessHigh: 1 << 6,
  outletHigh: 1 << 7,
  fanStalled: 1 << 8,
  fanOff: 1 << 9,
  fanDoubtful: 1 << 10,
  witnessBad: 1 << 11,
  /** Of the last run: it may have tripped, and nobody can tell. */
  forgotten: 1 << 12,
} as const;

/** Demands that take the power off, and those that reduce it. */
export const INHIBITING =
  CAUSE.beginning |
  CAUSE.noEstimate |
  CAUSE.boundAtLimit |
  CAUSE.witnessAtLimit |
  CAUSE.outletAtLimit |
  CAUSE.forgotten;
export const REDUCING =
  CAUSE.boundHigh |
  CAUSE.witnessHigh |
  CAUSE.outletHigh |
  CAUSE.fanStalled |
  CAUSE.fanOff |
  CAUSE.fanDoubtful |
  CAUSE.witnessBad;

/** What a bypass never covers: power without knowing, and power above the limit. */
export const NEVER_BYPASSED = CAUSE.beginning | CAUSE.noEstimate | CAUSE.boundAtLimit;

/** Which deadbands are at work: that of the reduce point after a demand, that of the limit while the power is off. */
export type HeldBefore = { readonly reduced: boolean; readonly inhibited: boolean };

/** Everything that votes. Times are monotonic seconds. */
export type Voters = {
  readonly estimate: Estimate;
  /** When an estimate was usable last; null = never since the beginning. */
  readonly usableSeconds: number | null;
  readonly witness: Witness;
  /** Since when the measured witness is bad; null while it is not. */
  readonly witnessBadSeconds: number | null;
  readonly outletCelsius: number | null;
  /** null = no fan is watched. */
  readonly fan: FanHealth | null;
};

/** Deadband of witness and outlet below their own setpoints, K. */
export const WITNESS_DEADBAND_KELVIN = 5;

/** What is measured puts the core at `celsius`; a sum only with its margin. */
export function witnessReaches(limits: Limits, { probeCelsius, sumCelsius }: Witness, celsius: number): boolean {
  if (probeCelsius !== null && probeCelsius >= celsius) return true;
  return sumCelsius !== null && sumCelsius >= celsius + limits.witnessMarginKelvin;
}

/** The demands of this cycle as bits. A bound that is no number counts as above everything. */
export function demands(limits: Limits, voters: Voters, held: HeldBefore, nowSeconds: number): number {
  const { estimate, usableSeconds, witness, outletCelsius, fan } = voters;
  let causes = 0;
  if (usableSeconds === null) causes |= CAUSE.beginning;
  else if (!(nowSeconds - usableSeconds <= limits.estimateGraceSeconds)) causes |= CAUSE.noEstimate;

  const upper = estimate.coreUpperCelsius;
  const limit = held.inhibited ? limits.limitCelsius - limits.inhibitDeadbandKelvin : limits.limitCelsius;
  const reduce = held.reduced ? limits.resetCelsius : limits.reduceCelsius;
  if (usableSeconds !== null) {
    if (!(upper < limit)) causes |= CAUSE.boundAtLimit;
    if (!(upper < reduce)) causes |= CAUSE.boundHigh;
  }

  const atLimit = limits.limitCelsius - (held.inhibited ? WITNESS_DEADBAND_KELVIN : 0);
  const high = limits.reduceCelsius - (held.reduced ? WITNESS_DEADBAND_KELVIN : 0);
  if (witnessReaches(limits, witness, atLimit)) causes |= CAUSE.witnessAtLimit;
  if (witnessReaches(limits, witness, high)) causes |= CAUSE.witnessHigh;
  if (outletCelsius !== null) {
    const back = WITNESS_DEADBAND_KELVIN;
    if (outletCelsius >= limits.outletLimitCelsius - (held.inhibited ? back : 0)) causes |= CAUSE.outletAtLimit;
    if (outletCelsius >= limits.outletReduceCelsius - (held.reduced ? back : 0)) {
      causes |= CAUSE.outletHigh;
    }
  }
  if (voters.witnessBadSeconds !== null && nowSeconds - voters.witnessBadSeconds >= limits.witnessGraceSeconds) {
    causes |= CAUSE.witnessBad;
  }
  if (fan !== null) {
    if (fan.verdict === "stalled") causes |= CAUSE.fanStalled;
    if (fan.verdict === "off on purpose") causes |= CAUSE.fanOff;
    if (fan.doubtSeconds !== null && nowSeconds - fan.doubtSeconds >= limits.witnessGraceSeconds) {
      causes |= CAUSE.fanDoubtful;
    }
  }
  return causes;
}

/** Each cause that is set, in words with its setpoint, most serious first. */
export function describeCauses(limits: Limits, causes: number): readonly string[] {
  const said: string[] = [];
  const say = (cause: number, words: string): void => {
    if ((causes & cause) !== 0) said.push(words);
  };
  say(CAUSE.beginning, "waiting for the first usable estimate");
  say(CAUSE.noEstimate, `no usable estimate of the core for more than ${limits.estimateGraceSeconds} s`);
  say(CAUSE.boundAtLimit, `the core's upper bound is at the limit of ${limits.limitCelsius} °C`);
  say(CAUSE.witnessAtLimit, `what is measured puts the core at the limit of ${limits.limitCelsius} °C`);
  say(CAUSE.outletAtLimit, `the outlet air is at ${limits.outletLimitCelsius} °C or above`);
  if ((causes & CAUSE.boundAtLimit) === 0) {
    say(
      CAUSE.boundHigh,
      `the core's upper bound is high: ${limits.reduceCelsius} °C reduces, ${limits.resetCelsius} °C resets`,
    );
  }
  if ((causes & CAUSE.witnessAtLimit) === 0) {
    say(CAUSE.witnessHigh, `what is measured puts the core at ${limits.reduceCelsius} °C or above`);
  }
  if ((causes & CAUSE.outletAtLimit) === 0) {
    say(CAUSE.outletHigh, `the outlet air is at ${limits.outletReduceCelsius} °C or above`);
  }
  say(CAUSE.forgotten, "what the last run left cannot be read, and it may have tripped");
  say(CAUSE.fanStalled, "the fan has stalled");
  say(CAUSE.fanOff, "the fan is off on purpose");
  say(CAUSE.fanDoubtful, `nobody can tell whether the fan turns, for more than ${limits.witnessGraceSeconds} s`);
  say(CAUSE.witnessBad, `inlet or outlet cannot be believed, for more than ${limits.witnessGraceSeconds} s`);
  return said;
}
