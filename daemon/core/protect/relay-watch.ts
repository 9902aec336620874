// The permit lines as wanted against the lines as read back, and how long a change takes to be read back.
// It drives nothing and judges nothing.

import type { PermitLines } from "../effects.ts";
import type { RelayReading } from "../readings.ts";

/** Monotonic seconds. */
export type RelayWatch = {
  /** What the last cycle wanted: this cycle's read-back should say so. */
  readonly wanted: PermitLines;
  /** When `wanted` changed and has not been read back yet; null when it has. */
  readonly changedSeconds: number | null;
  /** From the last change to its read-back; null before the first. */
  readonly latencySeconds: number | null;
};

/** True, false, or null when a line could not be read. */
export function agrees(wanted: PermitLines, relay: RelayReading): boolean | null {
  if (relay.reduce !== null && relay.reduce !== wanted.reduce) return false;
  if (relay.inhibit !== null && relay.inhibit !== wanted.inhibit) return false;
  return relay.reduce === null || relay.inhibit === null ? null : true;
}

/** Takes this cycle's read-back of what the last cycle wanted. */
export function hearRelay(watch: RelayWatch, relay: RelayReading | null, nowSeconds: number): RelayWatch {
  if (watch.changedSeconds === null || relay === null || agrees(watch.wanted, relay) !== true) return watch;
  return { ...watch, changedSeconds: null, latencySeconds: nowSeconds - watch.changedSeconds };
}

/** Takes what this cycle wants. */
export function wantPermits(watch: RelayWatch, permits: PermitLines, nowSeconds: number): RelayWatch {
  if (permits.reduce === watch.wanted.reduce && permits.inhibit === watch.wanted.inhibit) return watch;
  return { ...watch, wanted: permits, changedSeconds: nowSeconds };
}
