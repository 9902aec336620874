// The power stages full → reduced → inhibited: what follows from the demands, with minimum time, latch, reset and bypass.
// It drives nothing: the permits it states are what step() hands out.

import type { PermitLines, PowerStage } from "../effects.ts";
import { CAUSE, describeCauses, INHIBITING, NEVER_BYPASSED, REDUCING } from "./causes.ts";
import type { Limits } from "./settings.ts";

/** Monotonic seconds. */
export type Stage = {
  readonly stage: PowerStage;
  readonly sinceSeconds: number;
  /** `inhibited` after a trip: only the operator ends it. False at the beginning, which ends by itself. */
  readonly latched: boolean;
  /** Demands of this cycle, bypassed ones included. */
  readonly causes: number;
  /** What tripped it, kept until reset. */
  readonly tripCauses: number;
  readonly reasons: readonly string[];
  /** null = no bypass. */
  readonly bypassedUntilSeconds: number | null;
};

const NO_REASONS: readonly string[] = Object.freeze([]);

/** Both lines released until the first usable estimate below the limit. `latched`: the last run had tripped and nobody has reset it since. */
export function beginStage(limits: Limits, latched: boolean, nowSeconds: number, tripCauses = 0): Stage {
  const stage: Stage = {
    stage: "inhibited",
    sinceSeconds: nowSeconds,
    latched,
    causes: CAUSE.beginning,
    tripCauses,
    reasons: NO_REASONS,
    bypassedUntilSeconds: null,
  };
  return { ...stage, reasons: reasonsFor(limits, stage) };
}

/** The demands that count: a running bypass covers all but those that nothing may cover. */
export function standingDemands(stage: Stage, causes: number, nowSeconds: number): number {
  return isBypassed(stage, nowSeconds) ? causes & NEVER_BYPASSED : causes;
}

/** True while a bypass runs. */
function isBypassed(stage: Stage, nowSeconds: number): boolean {
  return stage.bypassedUntilSeconds !== null && nowSeconds < stage.bypassedUntilSeconds;
}

function reasonsFor(limits: Limits, stage: Stage): readonly string[] {
  const bypassed = stage.bypassedUntilSeconds !== null;
  const counted = bypassed ? stage.causes & NEVER_BYPASSED : stage.causes;
  if (stage.stage === "full") return NO_REASONS;
  if (stage.stage === "reduced") {
    const reasons = describeCauses(limits, counted & REDUCING);
    return reasons.length > 0 ? reasons : [`stays reduced for at least ${limits.minimumReducedSeconds} s`];
  }
  const present = describeCauses(limits, counted & INHIBITING);
  if (!stage.latched) return present;
  const gone = describeCauses(limits, stage.tripCauses & ~counted).map((words) => `tripped because ${words}`);
  const tail = present.length > 0 ? "the cause must go before it can be reset" : "waiting for the operator's reset";
  return [...present, ...gone, tail];
}

function nextStage(
  limits: Limits,
  stage: Stage,
  standing: number,
  resetAsked: boolean,
  nowSeconds: number,
): { stage: PowerStage; latched: boolean } {
  const inhibit = (standing & INHIBITING) !== 0;
  const reduce = (standing & REDUCING) !== 0;
  const below: PowerStage = reduce ? "reduced" : "full";
  switch (stage.stage) {
    case "inhibited":
      if (stage.latched) {
        return resetAsked && !inhibit ? { stage: below, latched: false } : { stage: "inhibited", latched: true };
      }
      // The beginning: nothing was permitted yet, so nothing has tripped. It ends by itself once nothing forbids it.
      return { stage: inhibit ? "inhibited" : below, latched: false };
    case "reduced":
      if (inhibit) return { stage: "inhibited", latched: true };
      if (reduce || nowSeconds - stage.sinceSeconds < limits.minimumReducedSeconds) {
        // A bypass does not wait for the minimum time.
        if (reduce || !isBypassed(stage, nowSeconds)) return { stage: "reduced", latched: false };
      }
      return { stage: "full", latched: false };
    case "full":
      return inhibit ? { stage: "inhibited", latched: true } : { stage: below, latched: false };
  }
}

/** The stage one cycle later; the same object while nothing changes. `resetAsked`: an operator asked in this cycle. */
export function advanceStage(
  limits: Limits,
  stage: Stage,
  causes: number,
  resetAsked: boolean,
  nowSeconds: number,
): Stage {
  const bypassEnded = stage.bypassedUntilSeconds !== null && !isBypassed(stage, nowSeconds);
  const standing = standingDemands(stage, causes, nowSeconds);
  const to = nextStage(limits, stage, standing, resetAsked, nowSeconds);
  if (to.stage === stage.stage && to.latched === stage.latched && causes === stage.causes && !bypassEnded) {
    return stage;
  }
  const tripped = to.latched && !stage.latched;
  const next: Stage = {
    stage: to.stage,
    sinceSeconds: to.stage === stage.stage && to.latched === stage.latched ? stage.sinceSeconds : nowSeconds,
    latched: to.latched,
    causes,
    tripCauses: to.latched ? stage.tripCauses | (tripped ? standing & INHIBITING : 0) : 0,
    reasons: stage.reasons,
    bypassedUntilSeconds: bypassEnded ? null : stage.bypassedUntilSeconds,
  };
  return { ...next, reasons: reasonsFor(limits, next) };
}

/** The stage with a bypass until `untilSeconds`, or without one. */
export function withBypass(limits: Limits, stage: Stage, untilSeconds: number | null): Stage {
  const next = { ...stage, bypassedUntilSeconds: untilSeconds };
  return { ...next, reasons: reasonsFor(limits, next) };
}

const FULL: PermitLines = Object.freeze({ reduce: true, inhibit: true });
const REDUCED: PermitLines = Object.freeze({ reduce: false, inhibit: true });
/** Both lines released: the safe state. */
export const RELEASED: PermitLines = Object.freeze({ reduce: false, inhibit: false });

/** Energised = permitted. */
export function permitsOf(stage: PowerStage): PermitLines {
  switch (stage) {
    case "full":
      return FULL;
    case "reduced":
      return REDUCED;
    case "inhibited":
      return RELEASED;
  }
}
