// What one cycle offers the estimator: types only. A sensor that is not fitted is null, one that failed is a `bad` reading.

import type { Reading } from "../readings.ts";

export type EstimatorInput = {
  /** Monotonic seconds. */
  readonly atSeconds: number;
  /** Seconds since the state was last advanced; 0 at the beginning. */
  readonly dtSeconds: number;
  readonly inlet: Reading | null;
  readonly outlet: Reading | null;
  readonly wall: Reading | null;
  readonly ambient: Reading | null;
  /** A probe on the ferrite or a spot reading of this very second. */
  readonly core: Reading | null;
  /** `turning` is the fan verdict where there is one; null = not known. */
  readonly fan: { readonly rpm: number | null; readonly turning: boolean | null };
  /** null = nothing is known of the drive. */
  readonly drive: { readonly watts: Reading; readonly frequencyHertz: number | null } | null;
  /** Sun on the wall when it is known, W. */
  readonly sunWatts?: number;
};
