// Series of figures → verdicts: flat or growing, constant or not. Pure; it measures nothing.

/** What was looked at, as it was watched. */
export type Sample = {
  readonly atSeconds: number;
  readonly residentBytes: number;
  readonly files: number;
  readonly threads: number;
};

/** One line of the outcome. */
export type Verdict = {
  readonly what: string;
  readonly figure: string;
  readonly wanted: string;
  readonly good: boolean;
};

/** Memory may breathe with the collector; what is more than this over three quarters of the run is growth. */
const GROWTH_BYTES = 10e6;
const GROWTH_SHARE = 0.06;

/** Fewer samples than this say nothing of growth. */
const FEWEST_SAMPLES = 8;

/** Median of the last quarter against the second: the first is for caches to fill and code to be compiled. */
export function memoryVerdict(who: string, samples: readonly Sample[]): Verdict {
  const what = `${who}: resident memory, 2nd → last quarter`;
  if (samples.length < FEWEST_SAMPLES) {
    const figure = `${samples.length} samples`;
    return { what, figure, wanted: `${FEWEST_SAMPLES} samples at least`, good: false };
  }
  const quarter = (index: number): number => {
    const from = Math.floor((index * samples.length) / 4);
    const to = Math.floor(((index + 1) * samples.length) / 4);
    return median(samples.slice(from, to).map(({ residentBytes }) => residentBytes));
  };
  const [settled, end] = [quarter(1), quarter(3)];
  const allowed = Math.max(GROWTH_BYTES, GROWTH_SHARE * settled);
  return {
    what,
    figure: `${megabytes(settled)} → ${megabytes(end)} MB`,
    wanted: `growth ≤ ${megabytes(allowed)} MB`,
    good: end - settled <= allowed,
  };
}

/** The same at the end, with nobody connected, as in the second quarter with as many connected as ever. */
export function constantVerdict(who: string, what: string, before: number, after: number): Verdict {
  return { what: `${who}: ${what}`, figure: `${before} → ${after}`, wanted: "the same", good: before === after };
}

/** Something that must not have happened. */
export function noneVerdict(who: string, what: string, found: readonly string[]): Verdict {
  const figure = found.length === 0 ? "none" : `${found.length}: ${found.slice(0, 3).join("; ")}`;
  return { what: `${who}: ${what}`, figure, wanted: "none", good: found.length === 0 };
}

/** Middle of the sorted values; NaN when there are none. */
export function median(values: readonly number[]): number {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)] ?? Number.NaN;
}

const megabytes = (bytes: number): string => (bytes / 1e6).toFixed(1);
