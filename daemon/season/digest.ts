// What one hour amounts to, for the review: sums, counts and histograms from which days, sessions and seasons are added up.
// Types and the pure adding; how it is gathered from rows stands in gather.ts, what it means in review/.

/** What a band saw within the hour, while transmitting. */
export type BandDigest = {
  seconds: number;
  overs: number;
  driveJoules: number;
  lossJoules: number;
  peakCoreCelsius: number | null;
  /** Sum and count of the loss factor, for its mean. */
  lossFactorSum: number;
  lossFactorCount: number;
};

/** A mean in the making. */
export type Mean = { sum: number; count: number };

/** One value more. */
export function addTo(mean: Mean, value: number): void {
  mean.sum += value;
  mean.count += 1;
}

export type HourDigest = {
  /** Seconds of the hour that rows stand for. */
  seconds: number;
  transmittingSeconds: number;
  overs: number;
  /** Was it transmitting at the first and the last row? An over across the hour is counted once when hours are added. */
  keyedAtStart: boolean;
  /** The band of an over that was under way at the first row. */
  bandAtStart: string | null;
  keyedAtEnd: boolean;
  driveJoules: number;
  lossJoules: number;
  peakCoreCelsius: number | null;
  peakUpperCelsius: number | null;
  /** Seconds by stage: full, reduced, inhibited. */
  stageSeconds: [number, number, number];
  /** Seconds by whole degree of the core: pairs of degree and seconds, rising. */
  coreSeconds: [number, number][];
  /** Reversals of the core temperature by more than REVERSAL_KELVIN, °C, in order. */
  reversals: number[];
  bands: { [band: string]: BandDigest };
  fan: {
    turningSeconds: number;
    /** Seconds of turning by whole degree of the outlet air, as `coreSeconds`. */
    outletSeconds: [number, number][];
    rpm: Mean;
    volts: Mean;
    /** How long each start took to 90 % of the hour's speed, s. */
    startSeconds: number[];
  };
  /** Flow factor while the fan turns and the core is well above the inlet: it is learned only then. */
  flowFactor: Mean;
  /** Sensor minus inlet while nothing was transmitted all hour, K; the inlet's own mean with it. */
  rest: { inlet: Mean; outlet: Mean; wall: Mean; ambient: Mean };
  sensorErrors: { receiving: number; transmitting: number };
};

/** Smaller wiggles of the core are noise of the estimate, not thermal cycles. */
export const REVERSAL_KELVIN = 2;

const emptyBand = (): BandDigest => ({
  seconds: 0,
  overs: 0,
  driveJoules: 0,
  lossJoules: 0,
  peakCoreCelsius: null,
  lossFactorSum: 0,
  lossFactorCount: 0,
});

/** The band of that name in a digest, entered when it is new. */
export function bandIn(digest: HourDigest, name: string): BandDigest {
  const found = digest.bands[name] ?? emptyBand();
  digest.bands[name] = found;
  return found;
}

const noMean = (): Mean => ({ sum: 0, count: 0 });

export const emptyDigest = (): HourDigest => ({
  seconds: 0,
  transmittingSeconds: 0,
  overs: 0,
  keyedAtStart: false,
  bandAtStart: null,
  keyedAtEnd: false,
  driveJoules: 0,
  lossJoules: 0,
  peakCoreCelsius: null,
  peakUpperCelsius: null,
  stageSeconds: [0, 0, 0],
  coreSeconds: [],
  reversals: [],
  bands: {},
  fan: { turningSeconds: 0, outletSeconds: [], rpm: noMean(), volts: noMean(), startSeconds: [] },
  flowFactor: noMean(),
  rest: { inlet: noMean(), outlet: noMean(), wall: noMean(), ambient: noMean() },
  sensorErrors: { receiving: 0, transmitting: 0 },
});

/** The mean; null when nothing was added. */
export const meanOf = ({ sum, count }: Mean): number | null => (count === 0 ? null : sum / count);

/** The greater of two; null is none. */
export const greater = (one: number | null, other: number | null): number | null =>
  one === null ? other : other === null ? one : Math.max(one, other);

const addMean = (into: Mean, { sum, count }: Mean): void => {
  into.sum += sum;
  into.count += count;
};

/** Two rising lists into one. */
function merged(
  one: readonly (readonly [number, number])[],
  other: readonly (readonly [number, number])[],
): [number, number][] {
  const both: [number, number][] = [];
  let at = 0;
  for (const [degree, seconds] of one) {
    while (at < other.length && other[at]![0] < degree) both.push([...other[at++]!]);
    const same = at < other.length && other[at]![0] === degree ? other[at++]![1] : 0;
    both.push([degree, seconds + same]);
  }
  while (at < other.length) both.push([...other[at++]!]);
  return both;
}

/** Adds `next`, which follows `into` in time. `contiguous`: no gap between them. */
export function addDigest(into: HourDigest, next: HourDigest, contiguous: boolean): void {
  const sameOver = contiguous && into.keyedAtEnd && next.keyedAtStart;
  if (into.seconds === 0) {
    into.keyedAtStart = next.keyedAtStart;
    into.bandAtStart = next.bandAtStart;
  }
  if (next.seconds > 0) into.keyedAtEnd = next.keyedAtEnd;
  into.seconds += next.seconds;
  into.transmittingSeconds += next.transmittingSeconds;
  into.overs += next.overs - (sameOver ? 1 : 0);
  into.driveJoules += next.driveJoules;
  into.lossJoules += next.lossJoules;
  into.peakCoreCelsius = greater(into.peakCoreCelsius, next.peakCoreCelsius);
  into.peakUpperCelsius = greater(into.peakUpperCelsius, next.peakUpperCelsius);
  next.stageSeconds.forEach((seconds, stage) => {
    into.stageSeconds[stage]! += seconds;
  });
  into.coreSeconds = merged(into.coreSeconds, next.coreSeconds);
  into.reversals.push(...next.reversals);
  for (const [name, band] of Object.entries(next.bands)) addBand(bandIn(into, name), band);
  if (sameOver && next.bandAtStart !== null) bandIn(into, next.bandAtStart).overs -= 1;
  into.fan.turningSeconds += next.fan.turningSeconds;
  into.fan.outletSeconds = merged(into.fan.outletSeconds, next.fan.outletSeconds);
  addMean(into.fan.rpm, next.fan.rpm);
  addMean(into.fan.volts, next.fan.volts);
  into.fan.startSeconds.push(...next.fan.startSeconds);
  addMean(into.flowFactor, next.flowFactor);
  for (const name of ["inlet", "outlet", "wall", "ambient"] as const) addMean(into.rest[name], next.rest[name]);
  into.sensorErrors.receiving += next.sensorErrors.receiving;
  into.sensorErrors.transmitting += next.sensorErrors.transmitting;
}

function addBand(into: BandDigest, band: BandDigest): void {
  into.seconds += band.seconds;
  into.overs += band.overs;
  into.driveJoules += band.driveJoules;
  into.lossJoules += band.lossJoules;
  into.peakCoreCelsius = greater(into.peakCoreCelsius, band.peakCoreCelsius);
  into.lossFactorSum += band.lossFactorSum;
  into.lossFactorCount += band.lossFactorCount;
}
