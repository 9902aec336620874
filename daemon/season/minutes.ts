// Rollups by minute of one hour, packed like rows: per series least, mean and greatest. Pure; it knows no database.

import { type ColumnSpec, type OpenBlock, packBlock } from "./block.ts";
import { emptyRollup, type Rollup } from "./rollup.ts";

export const MINUTES_AN_HOUR = 60;
/** A mean is finer than what it is a mean of. */
const MEAN_FINER = 4;

/** The packed columns of the rollups of `specs`. */
export function minuteSpecs(specs: readonly ColumnSpec[]): readonly ColumnSpec[] {
  return specs.flatMap(({ name, step }) =>
    step === null
      ? []
      : [
          { name: `${name}.min`, step },
          { name: `${name}.mean`, step: step / MEAN_FINER },
          { name: `${name}.max`, step },
        ],
  );
}

/** One hour's rollups, 60 buckets a series; a series that is missing was never there. */
export function packMinutes(specs: readonly ColumnSpec[], rollups: ReadonlyMap<string, Rollup>): Buffer {
  const numbers: Record<string, ArrayLike<number>> = {};
  for (const { name, step } of specs) {
    if (step === null) continue;
    const rollup = rollups.get(name) ?? emptyRollup(MINUTES_AN_HOUR);
    numbers[`${name}.min`] = rollup.min;
    numbers[`${name}.mean`] = rollup.mean;
    numbers[`${name}.max`] = rollup.max;
  }
  const seconds = Array.from({ length: MINUTES_AN_HOUR }, (_, minute) => minute * 60);
  return packBlock(minuteSpecs(specs), { seconds, numbers, texts: {} });
}

export type MinuteExtremes = { readonly min: Float64Array; readonly max: Float64Array };

/** Null when the hour has no such series. */
export function extremesOf(block: OpenBlock, series: string): MinuteExtremes | null {
  const [min, max] = [block.numbers(`${series}.min`), block.numbers(`${series}.max`)];
  return min === null || max === null ? null : { min, max };
}

/** Null when the hour has no such series. */
export function meansOf(block: OpenBlock, series: string): Float64Array | null {
  return block.numbers(`${series}.mean`);
}
