// The speed this fan should have at its supply voltage and air temperature: learned once by recursive least squares, then kept,
// so that a fan that ages is not learned as the new normal. It judges nothing; memory is nine numbers.

/** Speed over nominal = a + b·(volts over nominal − 1) + c·(air − 20 °C)/20 K, with the variances of a, b, c. */
export type LearnedSpeed = {
  readonly coefficients: readonly [number, number, number];
  /** Upper triangle of the covariance: aa, ab, ac, bb, bc, cc. */
  readonly covariance: readonly [number, number, number, number, number, number];
  readonly learnedSeconds: number;
};

/** A speed as a share of nominal, with its standard uncertainty. */
export type ExpectedSpeed = { readonly ratio: number; readonly uncertaintyRatio: number };

/**
 * Before anything is learned: data sheets state ±10 % on speed (common practice, no source), speed follows voltage a little
 * less than proportionally, and grease stiffens in the cold.
 */
export const UNLEARNED_SPEED: LearnedSpeed = {
  coefficients: [1, 0.85, 0],
  covariance: [0.1 ** 2, 0, 0, 0.3 ** 2, 0, 0.03 ** 2],
  learnedSeconds: 0,
};

/** Scatter of one observation around the line: gusts, tach resolution, supply ripple. */
const SCATTER = 0.02;
/** An observation further out than this many standard deviations is drawn in to there. */
const HUBER = 2;
/** Neighbouring observations are not independent: one in this many seconds counts. */
export const LEARN_EVERY_SECONDS = 10;

function regressors(voltsRatio: number, airCelsius: number): [number, number] {
  return [Math.min(Math.max(voltsRatio, 0), 2) - 1, (Math.min(Math.max(airCelsius, -40), 80) - 20) / 20];
}

/** Where the learned line puts the speed. */
export function expectedSpeed(learned: LearnedSpeed, voltsRatio: number, airCelsius: number): ExpectedSpeed {
  const [v, t] = regressors(voltsRatio, airCelsius);
  const [a, b, c] = learned.coefficients;
  const [aa, ab, ac, bb, bc, cc] = learned.covariance;
  const variance = aa + 2 * v * ab + 2 * t * ac + v * v * bb + 2 * v * t * bc + t * t * cc;
  return { ratio: Math.max(a + b * v + c * t, 0.05), uncertaintyRatio: Math.sqrt(Math.max(variance, 0)) };
}

/** Learns from one observation that stands for `seconds` of running. */
export function learnSpeed(
  learned: LearnedSpeed,
  speedRatio: number,
  voltsRatio: number,
  airCelsius: number,
  seconds: number,
): LearnedSpeed {
  const [v, t] = regressors(voltsRatio, airCelsius);
  const [a, b, c] = learned.coefficients;
  const [aa, ab, ac, bb, bc, cc] = learned.covariance;
  const pa = aa + v * ab + t * ac;
  const pb = ab + v * bb + t * bc;
  const pc = ac + v * bc + t * cc;
  const variance = pa + v * pb + t * pc + SCATTER ** 2;
  const deviation = Math.sqrt(variance);
  const innovation = Math.min(Math.max(speedRatio - (a + b * v + c * t), -HUBER * deviation), HUBER * deviation);
  const [ka, kb, kc] = [pa / variance, pb / variance, pc / variance];
  return {
    coefficients: [a + ka * innovation, b + kb * innovation, c + kc * innovation],
    covariance: [aa - ka * pa, ab - ka * pb, ac - ka * pc, bb - kb * pb, bc - kb * pc, cc - kc * pc],
    learnedSeconds: learned.learnedSeconds + seconds,
  };
}
