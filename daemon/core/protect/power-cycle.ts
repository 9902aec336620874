// A bounded number of attempts to free a stalled fan by cutting its supply over a switch line.
// It gives a level for the line and counts; after the last attempt it stays out of the way.

import type { FanVerdict } from "../effects.ts";
import type { PowerCycleSettings } from "./settings.ts";

/** Monotonic seconds. */
export type PowerCycle = {
  readonly attempts: number;
  /** While the supply is cut. */
  readonly offUntilSeconds: number | null;
  /** No attempt before this. */
  readonly restUntilSeconds: number;
};

/** Nothing tried yet. */
export const UNTRIED: PowerCycle = { attempts: 0, offUntilSeconds: null, restUntilSeconds: 0 };

/** A fan that has turned for so long has earned its attempts back. */
const RECOVERED_SECONDS = 600;

/** One cycle later; the same object while there is nothing to do. */
export function advancePowerCycle(
  settings: PowerCycleSettings | null,
  cycle: PowerCycle,
  verdict: FanVerdict,
  verdictSinceSeconds: number,
  nowSeconds: number,
): PowerCycle {
  if (settings === null) return cycle;
  if (cycle.offUntilSeconds !== null) {
    if (nowSeconds < cycle.offUntilSeconds) return cycle;
    return { ...cycle, offUntilSeconds: null, restUntilSeconds: nowSeconds + settings.waitSeconds };
  }
  if (verdict === "stalled" && cycle.attempts < settings.attempts && nowSeconds >= cycle.restUntilSeconds) {
    return { ...cycle, attempts: cycle.attempts + 1, offUntilSeconds: nowSeconds + settings.offSeconds };
  }
  if (verdict === "turning" && cycle.attempts > 0 && nowSeconds - verdictSinceSeconds >= RECOVERED_SECONDS) {
    return UNTRIED;
  }
  return cycle;
}
