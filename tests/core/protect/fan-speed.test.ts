// The learned speed against an ordinary least-squares fit of the same data done by a matrix library, and against outliers.

import { EigenvalueDecomposition, Matrix, solve } from "ml-matrix";
import { describe, expect, it } from "vitest";
import {
  expectedSpeed,
  type LearnedSpeed,
  learnSpeed,
  UNLEARNED_SPEED,
} from "../../../daemon/core/protect/fan-speed.ts";

/** A seeded generator (Lehmer, MINSTD constants of Park and Miller, 1988). */
function* seeded(seed: number): Generator<number, never> {
  let state = seed;
  for (;;) {
    state = (state * 48_271) % 2_147_483_647;
    yield state / 2_147_483_647;
  }
}

type Observation = { readonly speed: number; readonly volts: number; readonly air: number };

/** A true fan: 4 % above its data sheet, 0.8 of proportional in voltage, 2 % faster 20 K warmer. */
function observations(count: number, seed: number): Observation[] {
  const random = seeded(seed);
  return Array.from({ length: count }, () => {
    const volts = 0.8 + 0.3 * random.next().value;
    const air = -10 + 50 * random.next().value;
    const scatter = 0.02 * (random.next().value - 0.5);
    return { volts, air, speed: 1.04 + 0.8 * (volts - 1) + 0.02 * ((air - 20) / 20) + scatter };
  });
}

const learnAll = (data: readonly Observation[]): LearnedSpeed =>
  data.reduce((learned, { speed, volts, air }) => learnSpeed(learned, speed, volts, air, 10), UNLEARNED_SPEED);

describe("the learned speed", () => {
  it("agrees with least squares", () => {
    const data = observations(2000, 7);
    const rows = new Matrix(data.map(({ volts, air }) => [1, volts - 1, (air - 20) / 20]));
    const fit = solve(rows, Matrix.columnVector(data.map(({ speed }) => speed))).to1DArray();
    const learned = learnAll(data);
    learned.coefficients.forEach((coefficient, index) => {
      expect(coefficient).toBeCloseTo(fit[index]!, 2);
    });
  });

  it("says less than it knows at the beginning and more with every observation", () => {
    const before = expectedSpeed(UNLEARNED_SPEED, 1, 20);
    const after = expectedSpeed(learnAll(observations(100, 3)), 1, 20);
    expect(before).toEqual({ ratio: 1, uncertaintyRatio: 0.1 });
    expect(after.uncertaintyRatio).toBeLessThan(before.uncertaintyRatio / 10);
    expect(after.ratio).toBeCloseTo(1.04, 2);
  });

  it("is hardly moved by one observation in twenty that is wild", () => {
    const data = observations(1000, 11).map((one, index) => (index % 20 === 0 ? { ...one, speed: 3 } : one));
    expect(expectedSpeed(learnAll(data), 1, 20).ratio).toBeCloseTo(1.04, 1);
    expect(Math.abs(expectedSpeed(learnAll(data), 1, 20).ratio - 1.04)).toBeLessThan(0.02);
  });

  it("keeps a covariance that is one", () => {
    const { covariance } = learnAll(observations(5000, 5));
    const [aa, ab, ac, bb, bc, cc] = covariance;
    const matrix = new Matrix([
      [aa, ab, ac],
      [ab, bb, bc],
      [ac, bc, cc],
    ]);
    expect(Math.min(...new EigenvalueDecomposition(matrix).realEigenvalues)).toBeGreaterThan(0);
  });

  it("never expects a fan to stand", () => {
    expect(expectedSpeed(UNLEARNED_SPEED, -5, -300).ratio).toBeGreaterThan(0);
  });
});
