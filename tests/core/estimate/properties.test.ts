// What must hold whatever the sensors say: the bound above the estimate, numbers that are numbers, covariances that are covariances.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  advanceEstimator,
  beginEstimator,
  type EstimatorInput,
  type EstimatorState,
  reportEstimate,
} from "../../../daemon/core/estimate/estimator.ts";
import { BRANCH_LENGTH, STATES } from "../../../daemon/core/estimate/gaussian.ts";
import { inverseOfPositive } from "../../../daemon/core/estimate/inverse.ts";
import { bad, good, type Reading, suspect } from "../../../daemon/core/readings.ts";
import { seededRandom } from "../../../hardware/simulated/random.ts";
import { LIMITS, MODEL, wellInput } from "./scene.ts";

/** Throws unless both branches' covariances are symmetric and positive definite (states of no variance left out). */
function expectCovariances({ vector }: EstimatorState): void {
  for (const offset of [0, BRANCH_LENGTH]) {
    const p = (i: number, j: number): number => vector[offset + STATES + i * STATES + j]!;
    const alive = Array.from({ length: STATES }, (_, i) => i).filter((i) => p(i, i) > 0);
    expect(alive.length).toBeGreaterThanOrEqual(STATES - 1);
    for (const i of alive) for (const j of alive) expect(p(i, j)).toBe(p(j, i));
    const scaled = alive.map((i) => Float64Array.from(alive, (j) => p(i, j) / Math.sqrt(p(i, i) * p(j, j))));
    expect(() => inverseOfPositive(scaled)).not.toThrow();
  }
}

const readings = (min: number, max: number): fc.Arbitrary<Reading> =>
  fc.oneof(
    { weight: 6, arbitrary: fc.double({ min, max, noNaN: true }).map(good) },
    { weight: 1, arbitrary: fc.double({ min, max, noNaN: true }).map((value) => suspect(value, "STUCK")) },
    { weight: 1, arbitrary: fc.constant(bad("TIMEOUT")) },
  );
const maybe = <T>(arbitrary: fc.Arbitrary<T>): fc.Arbitrary<T | null> => fc.option(arbitrary, { nil: null, freq: 4 });

const inputs: fc.Arbitrary<Omit<EstimatorInput, "atSeconds">> = fc.record({
  dtSeconds: fc.oneof(fc.constant(1), fc.double({ min: 0, max: 400, noNaN: true })),
  inlet: maybe(readings(-30, 50)),
  outlet: maybe(readings(-30, 120)),
  wall: maybe(readings(-30, 80)),
  ambient: maybe(readings(-30, 50)),
  core: fc.option(readings(-30, 200), { nil: null, freq: 1 }),
  fan: fc.record({
    rpm: maybe(fc.double({ min: 0, max: 14_000, noNaN: true })),
    turning: maybe(fc.boolean()),
  }),
  drive: maybe(
    fc.record({
      watts: readings(0, 3000),
      frequencyHertz: maybe(fc.constantFrom(3.6e6, 7.1e6, 14.1e6)),
    }),
  ),
});

describe("whatever the sensors say", () => {
  it("the bound is not below the estimate, and every figure is a number", () => {
    fc.assert(
      fc.property(fc.array(inputs, { minLength: 1, maxLength: 60 }), (all) => {
        let state = beginEstimator(MODEL, { ...all[0]!, atSeconds: 0, dtSeconds: 0 }, null);
        let atSeconds = 0;
        for (const input of all) {
          atSeconds += input.dtSeconds;
          state = advanceEstimator(MODEL, state, { ...input, atSeconds });
          const estimate = reportEstimate(MODEL, state, LIMITS);
          expect(estimate.coreUpperCelsius).toBeGreaterThanOrEqual(estimate.coreCelsius);
          for (const [name, value] of Object.entries(estimate)) {
            if (typeof value === "number") expect(Number.isFinite(value), `${name} ${value}`).toBe(true);
          }
          expect(estimate.flowFactor).toBeGreaterThan(0);
          expect(estimate.lossWatts).toBeGreaterThanOrEqual(0);
        }
        expectCovariances(state);
      }),
      { numRuns: 150, seed: 1 },
    );
  });

  it("a reading that is missing changes nothing but time", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.1, max: 10, noNaN: true }),
        fc.double({ min: 0, max: 1500, noNaN: true }),
        (dt, watts) => {
          let state = beginEstimator(MODEL, wellInput(0, 0, 24, { watts }), null);
          for (let second = 1; second <= 60; second++)
            state = advanceEstimator(MODEL, state, wellInput(second, 1, 24, { watts }));
          const blind = { ...wellInput(60 + dt, dt, 0, { watts }), outlet: bad("NACK") };
          const unfitted = { ...blind, outlet: null };
          const once = advanceEstimator(MODEL, state, blind);
          expect(advanceEstimator(MODEL, state, unfitted).vector).toEqual(once.vector);
          // Two half steps without news are one whole step.
          const half = { ...blind, dtSeconds: dt / 2 };
          const twice = advanceEstimator(MODEL, advanceEstimator(MODEL, state, half), half);
          expect(Math.abs(twice.vector[0]! - once.vector[0]!)).toBeLessThan(0.02);
        },
      ),
      { numRuns: 40, seed: 2 },
    );
  });
});

describe("a season", () => {
  it("compressed to fifteen days of one minute a step leaves every covariance positive definite and every variance bounded", () => {
    const random = seededRandom(11);
    const step = 60;
    let state = beginEstimator(MODEL, wellInput(0, 0, 10, { watts: 0 }), null);
    let largest = 0;
    for (let minute = 1; minute <= 15 * 1440; minute++) {
      const day = minute / 1440;
      const inlet = -5 + 2.5 * day + 8 * Math.sin(2 * Math.PI * (day - 0.3)) + 0.1 * random.normal();
      const evening = day % 1 > 0.7 && day % 1 < 0.9;
      const watts = evening && random.unit() < 0.6 ? 1500 * random.unit() : 0;
      const stalled = day > 9.75 && day < 9.76;
      const outlet = inlet + (evening ? 6 : 0.5) + 0.1 * random.normal();
      const input = wellInput(minute * step, step, outlet, {
        watts,
        inlet,
        rpm: stalled ? 0 : 10_000 + 1000 * random.unit(),
      });
      const lost = random.unit() < 0.02 ? { outlet: bad("TIMEOUT") } : {};
      const silent = day > 5.7 && day < 5.9 ? { drive: null } : {};
      state = advanceEstimator(MODEL, state, { ...input, ...lost, ...silent });
      if (minute % 500 === 0) {
        expectCovariances(state);
        const estimate = reportEstimate(MODEL, state, LIMITS);
        expect(estimate.coreUpperCelsius).toBeGreaterThan(estimate.coreCelsius);
        largest = Math.max(largest, estimate.coreUncertaintyKelvin);
      }
    }
    expect(largest).toBeGreaterThan(0);
    expect(largest).toBeLessThan(20);
  });
});
