// Edge times of a fan's tach line → speed and regularity. Pure. It never takes a count for a speed: the kernel and the
// event loop lose edges, bounce doubles them, and noise makes any number of them.

/** The fastest fan taken for real, rpm; pulses closer together than it could make are one pulse. */
export const HIGHEST_RPM = 25_000;

/** Pulses looked at: enough to see regularity, few enough to follow a fan that runs up. */
export const PULSES_KEPT = 64;

/** Latest pulses tried alone when all together are irregular: a fan that runs up or down is regular only for a moment. */
const SHORTER_RUNS = [24, 12] as const;

/** Pulses older than this say nothing of the speed now, s. */
const WINDOW_SECONDS = 2;

/** A gap longer than this begins a new run of the fan, s. */
const GAP_SECONDS = 0.5;

/** Intervals needed for a speed. */
const FEWEST_INTERVALS = 10;

/** Regularity below which pulses make no speed, however many there are. */
const LEAST_REGULARITY = 0.6;

/** A shorter period must be this much more regular than a longer one to be believed: pulses that come late fit half a period. */
const CLEARLY_LESS = 0.75;

/** Longer gaps than this many periods carry no evidence of regularity. */
const LONGEST_MULTIPLE = 8;

/** What a run of edges says. */
export type EdgeAnalysis = {
  /** Null when the pulses make no speed: too few, or too irregular. */
  readonly rpm: number | null;
  /** 1 = all intervals are whole multiples of one period, 0 = noise; null with fewer than two intervals. */
  readonly regularity: number | null;
  /** Edges that came too soon after another to be a pulse. */
  readonly rejectedEdges: number;
};

/**
 * Joins edges to pulses: an edge that follows another within the shortest plausible interval belongs to its pulse,
 * whose time is that of its first edge. So bounce adds no pulse, and a noise without pauses makes none at all.
 */
export class EdgeGate {
  readonly #shortestSeconds: number;
  #lastEdgeSeconds = Number.NEGATIVE_INFINITY;
  #rejected = 0;

  constructor(pulsesPerRevolution: number) {
    if (!(Number.isInteger(pulsesPerRevolution) && pulsesPerRevolution >= 1 && pulsesPerRevolution <= 16)) {
      throw new RangeError(`a tach gives 1 to 16 pulses a revolution, not ${pulsesPerRevolution}`);
    }
    this.#shortestSeconds = 60 / (HIGHEST_RPM * pulsesPerRevolution);
  }

  /** Edges rejected so far. */
  get rejected(): number {
    return this.#rejected;
  }

  /** When the last edge of any kind came; −∞ before the first. */
  get lastEdgeSeconds(): number {
    return this.#lastEdgeSeconds;
  }

  /** Takes one edge; true when it begins a pulse. */
  pass(atSeconds: number): boolean {
    const isPulse = atSeconds - this.#lastEdgeSeconds >= this.#shortestSeconds;
    this.#lastEdgeSeconds = atSeconds;
    if (!isPulse) this.#rejected += 1;
    return isPulse;
  }
}

/** Speed, regularity and rejected edges from edge times in monotonic seconds, ascending. */
export function analyseEdges(times: readonly number[], pulsesPerRevolution: number): EdgeAnalysis {
  const gate = new EdgeGate(pulsesPerRevolution);
  const pulses = times.filter((time) => gate.pass(time));
  return { ...analysePulses(pulses, pulsesPerRevolution), rejectedEdges: gate.rejected };
}

/** Speed and regularity from pulse times, ascending, as they leave the gate; looks at the last `PULSES_KEPT`. */
export function analysePulses(pulses: readonly number[], pulsesPerRevolution: number): Speed {
  const run = presentRun(pulses.slice(-PULSES_KEPT));
  const whole = analyseRun(run, pulsesPerRevolution);
  for (const length of SHORTER_RUNS) {
    if (whole.rpm !== null || length >= run.length) break;
    const latest = analyseRun(run.slice(-length), pulsesPerRevolution);
    if (latest.rpm !== null) return latest;
  }
  return whole;
}

type Speed = { readonly rpm: number | null; readonly regularity: number | null };

function analyseRun(run: readonly number[], pulsesPerRevolution: number): Speed {
  const intervals = run.slice(1).map((time, index) => time - (run[index] ?? time));
  if (intervals.length < 2) return { rpm: null, regularity: null };
  const fit = bestPeriod(intervals);
  const needed = Math.max(LEAST_REGULARITY, Math.sqrt(FEWEST_INTERVALS / intervals.length));
  // By chance n random intervals reach a mean resultant length R with probability exp(−n·R²) (Rayleigh's test, Mardia
  // and Jupp, "Directional Statistics"): n·R² ≥ 10 keeps that below 1 in 20 000 for each period tried.
  if (fit.regularity < needed) return { rpm: null, regularity: fit.regularity };
  return { rpm: 60 / (slopeOver(run, fit.periodSeconds) * pulsesPerRevolution), regularity: fit.regularity };
}

/** The pulses since the last long gap, within the window before the last one. */
function presentRun(pulses: readonly number[]): readonly number[] {
  let first = pulses.length - 1;
  const last = pulses[first] ?? 0;
  while (first > 0) {
    const [before, at] = [pulses[first - 1] ?? 0, pulses[first] ?? 0];
    if (at - before > GAP_SECONDS || last - before > WINDOW_SECONDS) break;
    first -= 1;
  }
  return pulses.slice(Math.max(0, first));
}

type PeriodFit = { readonly periodSeconds: number; readonly regularity: number };

/**
 * The longest period of which nearly all intervals are whole multiples. With lost edges the middle interval may be two or
 * three periods, so shorter intervals are tried too; one of them is only taken when the longer ones do not fit.
 */
function bestPeriod(intervals: readonly number[]): PeriodFit {
  const sorted = intervals.toSorted((a, b) => a - b);
  const starts = [0.5, 0.25, 0.1].map((share) => sorted[Math.floor(share * (sorted.length - 1))] ?? 0);
  const fits = [...new Set(starts)]
    .map((start) => fitPeriod(intervals, start))
    .toSorted((a, b) => b.periodSeconds - a.periodSeconds);
  const most = Math.max(...fits.map((fit) => fit.regularity));
  return fits.find((fit) => fit.regularity >= CLEARLY_LESS * most) ?? { periodSeconds: Number.NaN, regularity: 0 };
}

/** Improves a period by least squares over the intervals, each with its own multiple, and rates it. */
function fitPeriod(intervals: readonly number[], startSeconds: number): PeriodFit {
  let period = startSeconds;
  for (let round = 0; round < 3; round += 1) {
    let [across, along] = [0, 0];
    for (const interval of intervals) {
      const multiple = Math.round(interval / period);
      if (multiple < 1 || multiple > LONGEST_MULTIPLE) continue;
      across += interval * multiple;
      along += multiple * multiple;
    }
    if (along > 0) period = across / along;
  }
  return { periodSeconds: period, regularity: regularityAt(intervals, period) };
}

/** Mean resultant length of the intervals as angles on a circle of one period: 1 when all are whole multiples. */
function regularityAt(intervals: readonly number[], period: number): number {
  let [cosines, sines, counted] = [0, 0, 0];
  for (const interval of intervals) {
    const turns = interval / period;
    if (turns > LONGEST_MULTIPLE + 0.5) continue;
    counted += 1;
    cosines += Math.cos(2 * Math.PI * turns);
    sines += Math.sin(2 * Math.PI * turns);
  }
  // Long gaps say nothing for or against, but a run that consists of them is no evidence either.
  if (counted < intervals.length / 2) return 0;
  return Math.hypot(cosines, sines) / counted;
}

/** The period by regression of the pulse times on their ordinal numbers, lost pulses numbered too; the numbering that fits better. */
function slopeOver(run: readonly number[], period: number): number {
  const origin = run[0] ?? 0;
  const times = run.map((time) => time - origin);
  const lines = [ordinalsByInterval(times, period), ordinalsByPhase(times, period)].map((ordinals) =>
    fitLine(ordinals, times),
  );
  return lines.reduce((best, line) => (line.spread < best.spread ? line : best)).slope;
}

/** Numbers each pulse from the one before: follows a fan that runs up, but a late pulse makes one too many. */
function ordinalsByInterval(times: readonly number[], period: number): readonly number[] {
  let ordinal = 0;
  return times.map((time, at) => {
    if (at > 0) ordinal += Math.max(1, Math.round((time - times[at - 1]!) / period));
    return ordinal;
  });
}

/** How far a pulse moves the phase and the period that the next are numbered by. */
const PHASE_GAIN = 0.3;
const PERIOD_GAIN = 0.05;

/** Numbers each pulse by the phase that those before it agree on: a late one among them moves it little. */
function ordinalsByPhase(times: readonly number[], startPeriod: number): readonly number[] {
  let [ordinal, due, period] = [0, 0, startPeriod];
  return times.map((time) => {
    const steps = Math.max(0, Math.round((time - due) / period));
    ordinal += steps;
    const late = time - due - steps * period;
    due += steps * period + PHASE_GAIN * late;
    if (steps > 0) period += (PERIOD_GAIN * late) / steps;
    return ordinal;
  });
}

type Line = {
  readonly slope: number;
  /** Mean absolute distance from the line, in slopes. */
  readonly spread: number;
};

function fitLine(ordinals: readonly number[], times: readonly number[]): Line {
  const middleOrdinal = ordinals.reduce((sum, value) => sum + value, 0) / ordinals.length;
  const middleTime = times.reduce((sum, value) => sum + value, 0) / times.length;
  let [across, along] = [0, 0];
  for (const [at, ordinal] of ordinals.entries()) {
    across += (ordinal - middleOrdinal) * (times[at]! - middleTime);
    along += (ordinal - middleOrdinal) ** 2;
  }
  const slope = across / along;
  const distances = ordinals.map((ordinal, at) =>
    Math.abs(times[at]! - middleTime - slope * (ordinal - middleOrdinal)),
  );
  return { slope, spread: distances.reduce((sum, value) => sum + value, 0) / distances.length / slope };
}
