// Least, mean and greatest value of a series per stretch of time, with how many values there were. Pure; a stretch without a
// value stays empty, so that a gap stays a gap and no peak is averaged away.

/** One entry per bucket; min, mean and max are NaN where count is 0. */
export type Rollup = {
  readonly min: Float64Array;
  readonly mean: Float64Array;
  readonly max: Float64Array;
  readonly count: Float64Array;
};

/** NaN for what has no value yet, and no values counted. */
export function emptyRollup(buckets: number): Rollup {
  return {
    min: new Float64Array(buckets).fill(Number.NaN),
    mean: new Float64Array(buckets).fill(Number.NaN),
    max: new Float64Array(buckets).fill(Number.NaN),
    count: new Float64Array(buckets),
  };
}

/** Adds values to a rollup; `bucketOf` says where row `index` belongs, a bucket outside is passed over. */
export function addToRollup(into: Rollup, values: ArrayLike<number>, bucketOf: (index: number) => number): void {
  const { min, mean, max, count } = into;
  for (let index = 0; index < values.length; index += 1) {
    const value = values[index]!;
    if (Number.isNaN(value)) continue;
    const bucket = bucketOf(index);
    if (!(bucket >= 0 && bucket < count.length)) continue;
    const before = count[bucket]!;
    count[bucket] = before + 1;
    if (before === 0) {
      min[bucket] = value;
      max[bucket] = value;
      mean[bucket] = value;
      continue;
    }
    if (value < min[bucket]!) min[bucket] = value;
    if (value > max[bucket]!) max[bucket] = value;
    mean[bucket] = mean[bucket]! + (value - mean[bucket]!) / (before + 1);
  }
}

type RollupLike = { readonly [name in keyof Rollup]: ArrayLike<number> };

/** Every `factor` buckets as one. */
export function coarser({ min, mean, max, count }: RollupLike, factor: number): Rollup {
  const into = emptyRollup(Math.ceil(count.length / factor));
  for (let index = 0; index < count.length; index += 1) {
    const added = count[index]!;
    if (added === 0) continue;
    const bucket = Math.floor(index / factor);
    const before = into.count[bucket]!;
    into.count[bucket] = before + added;
    into.min[bucket] = before === 0 ? min[index]! : Math.min(into.min[bucket]!, min[index]!);
    into.max[bucket] = before === 0 ? max[index]! : Math.max(into.max[bucket]!, max[index]!);
    const share = added / (before + added);
    into.mean[bucket] = before === 0 ? mean[index]! : into.mean[bucket]! + (mean[index]! - into.mean[bucket]!) * share;
  }
  return into;
}
