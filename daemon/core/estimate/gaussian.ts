// The algebra of one Kalman filter over a few states kept flat in a Float64Array: prediction of the covariance and scalar corrections.
// It knows neither what the states mean nor where a measurement came from, and it allocates nothing.

/** Number of states of one branch. */
export const STATES = 7;

/** Length of one branch in a flat vector: the mean, then the full covariance by rows. */
export const BRANCH_LENGTH = STATES + STATES * STATES;

/** Rows of the transition matrix that are not rows of the identity: the first three states move, the rest only wander. */
export const MOVING = 3;

/**
 * P ← F·P·Fᵀ + diag(q) for the branch at `offset`. `f` holds the first three rows of F; the other rows are the identity.
 * `work` is scratch of MOVING × STATES numbers. The result is symmetric by construction.
 */
export function predictCovariance(
  v: Float64Array,
  offset: number,
  f: Float64Array,
  q: Float64Array,
  work: Float64Array,
): void {
  const base = offset + STATES;
  for (let i = 0; i < MOVING; i++) {
    const row = i * STATES;
    for (let j = 0; j < STATES; j++) {
      let sum = 0;
      for (let k = 0; k < STATES; k++) sum += f[row + k]! * v[base + k * STATES + j]!;
      work[row + j] = sum;
    }
  }
  for (let i = 0; i < MOVING; i++) {
    const row = i * STATES;
    for (let j = i; j < MOVING; j++) {
      let sum = 0;
      for (let k = 0; k < STATES; k++) sum += work[row + k]! * f[j * STATES + k]!;
      v[base + row + j] = sum;
      v[base + j * STATES + i] = sum;
    }
    for (let j = MOVING; j < STATES; j++) {
      const value = work[row + j]!;
      v[base + row + j] = value;
      v[base + j * STATES + i] = value;
    }
  }
  for (let i = 0; i < STATES; i++) v[base + i * (STATES + 1)]! += q[i]!;
}

/**
 * Corrects the branch at `offset` with a direct measurement of state `measured`, variance `r`.
 * States whose `mask` is 0 are considered but not moved (Schmidt's filter); the Joseph form keeps P valid for any gain.
 * Returns the normalised innovation squared.
 */
export function correctWith(
  v: Float64Array,
  offset: number,
  measured: number,
  value: number,
  r: number,
  mask: Float64Array,
  gain: Float64Array,
  row: Float64Array,
): number {
  const base = offset + STATES;
  const from = base + measured * STATES;
  const innovation = value - v[offset + measured]!;
  const s = v[from + measured]! + r;
  for (let i = 0; i < STATES; i++) {
    const p = v[from + i]!;
    row[i] = p;
    gain[i] = (mask[i]! * p) / s;
  }
  // (1 − K·h)P(1 − K·h)ᵀ + K·r·Kᵀ written out for h = a unit vector.
  for (let i = 0; i < STATES; i++) {
    const k = gain[i]!;
    v[offset + i]! += k * innovation;
    for (let j = i; j < STATES; j++) {
      const p = v[base + i * STATES + j]! - k * row[j]! - gain[j]! * row[i]! + k * gain[j]! * s;
      v[base + i * STATES + j] = p;
      v[base + j * STATES + i] = p;
    }
  }
  return (innovation * innovation) / s;
}

/**
 * Moves the mean as `correctWith` would but leaves the covariance as it is: for a measurement whose errors repeat, from which something can
 * be learned but no certainty.
 */
export function nudgeWith(
  v: Float64Array,
  offset: number,
  measured: number,
  value: number,
  r: number,
  mask: Float64Array,
): void {
  const from = offset + STATES + measured * STATES;
  const share = (value - v[offset + measured]!) / (v[from + measured]! + r);
  for (let i = 0; i < STATES; i++) v[offset + i]! += mask[i]! * v[from + i]! * share;
}

/** Forgets all correlations of `state` and gives it a new value and variance. */
export function replaceState(v: Float64Array, offset: number, state: number, value: number, variance: number): void {
  const base = offset + STATES;
  for (let j = 0; j < STATES; j++) {
    v[base + state * STATES + j] = 0;
    v[base + j * STATES + state] = 0;
  }
  v[offset + state] = value;
  v[base + state * (STATES + 1)] = variance;
}

/** Variance of one state. */
export function varianceOf(v: Float64Array, offset: number, state: number): number {
  return v[offset + STATES + state * (STATES + 1)]!;
}
