// What survives a restart: plain JSON, checked when it comes back, because a disk may return anything.
// Durations, never monotonic times: these mean nothing in another boot.

import type { EstimatorCheckpoint } from "../estimate/estimator.ts";

/** Written now and then by the shell, given back to `beginState`. */
export type Checkpoint = {
  readonly version: 1;
  /** Unix seconds when it was made; null when the clock was not trusted. */
  readonly wallSeconds: number | null;
  readonly estimator: EstimatorCheckpoint | null;
};

/** null when `value` is no checkpoint of this version: the program then begins without one. */
export function parseCheckpoint(value: unknown): Checkpoint | null {
  if (typeof value !== "object" || value === null || !("version" in value) || value.version !== 1) return null;
  return value as Checkpoint;
}
