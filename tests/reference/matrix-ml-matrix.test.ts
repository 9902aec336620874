// The filter's algebra against ml-matrix (npm): prediction, Joseph's correction with and without held states, and the inverse of the
// normal matrix, each written there with whole matrices from the textbook's formulas.

import fc from "fast-check";
import { Matrix, inverse as mlInverse } from "ml-matrix";
import { describe, expect, it } from "vitest";
import { BRANCH_LENGTH, correctWith, MOVING, predictCovariance, STATES } from "../../daemon/core/estimate/gaussian.ts";
import { inverseOfPositive } from "../../daemon/core/estimate/inverse.ts";

const numbers = (count: number, size = 2) =>
  fc.array(fc.double({ min: -size, max: size, noNaN: true }), { minLength: count, maxLength: count });

/** A·Aᵀ + 0.1: symmetric and positive definite. */
const covarianceOf = (entries: readonly number[], n: number): Matrix => {
  const a = Matrix.from1DArray(n, n, entries);
  return a.mmul(a.transpose()).add(Matrix.eye(n).mul(0.1));
};

/** A branch with its mean and covariance, placed behind a margin that nothing may touch. */
const MARGIN = 3;
const branchOf = (mean: readonly number[], p: Matrix): Float64Array => {
  const v = new Float64Array(MARGIN + BRANCH_LENGTH).fill(Number.NaN, 0, MARGIN);
  v.set(mean, MARGIN);
  v.set(p.to1DArray(), MARGIN + STATES);
  return v;
};
const covarianceIn = (v: Float64Array): Matrix => Matrix.from1DArray(STATES, STATES, v.slice(MARGIN + STATES));

const largest = (m: Matrix): number => Math.max(m.max(), -m.min());
const same = (found: Matrix, expected: Matrix): void => {
  expect(largest(Matrix.sub(found, expected))).toBeLessThan(1e-10 * (1 + largest(expected)));
};

describe("prediction of the covariance", () => {
  it("is F·P·Fᵀ + Q", () => {
    fc.assert(
      fc.property(numbers(STATES * STATES), numbers(MOVING * STATES), numbers(STATES), (entries, moving, noise) => {
        const p = covarianceOf(entries, STATES);
        const q = noise.map((value) => value * value);
        const v = branchOf(new Array(STATES).fill(0), p);
        predictCovariance(
          v,
          MARGIN,
          Float64Array.from(moving),
          Float64Array.from(q),
          new Float64Array(MOVING * STATES),
        );
        const f = Matrix.eye(STATES);
        moving.forEach((value, index) => {
          f.set(Math.floor(index / STATES), index % STATES, value);
        });
        same(covarianceIn(v), f.mmul(p).mmul(f.transpose()).add(Matrix.diag(q)));
      }),
      { numRuns: 200, seed: 1 },
    );
  });
});

describe("correction", () => {
  it("is Joseph's form for any set of held states", () => {
    fc.assert(
      fc.property(
        numbers(STATES * STATES),
        numbers(STATES, 50),
        fc.integer({ min: 0, max: STATES - 1 }),
        fc.double({ min: -60, max: 60, noNaN: true }),
        fc.double({ min: 1e-3, max: 10, noNaN: true }),
        fc.array(fc.boolean(), { minLength: STATES, maxLength: STATES }),
        (entries, mean, measured, value, r, moves) => {
          const p = covarianceOf(entries, STATES);
          const v = branchOf(mean, p);
          const mask = Float64Array.from(moves, (may) => (may ? 1 : 0));
          const nis = correctWith(
            v,
            MARGIN,
            measured,
            value,
            r,
            mask,
            new Float64Array(STATES),
            new Float64Array(STATES),
          );

          const h = Matrix.zeros(1, STATES);
          h.set(0, measured, 1);
          const x = Matrix.columnVector(mean);
          const s = h.mmul(p).mmul(h.transpose()).get(0, 0) + r;
          const innovation = value - h.mmul(x).get(0, 0);
          const k = p.mmul(h.transpose()).div(s);
          mask.forEach((may, row) => {
            k.set(row, 0, may * k.get(row, 0));
          });
          const keep = Matrix.sub(Matrix.eye(STATES), k.mmul(h));
          const joseph = keep.mmul(p).mmul(keep.transpose()).add(k.mmul(k.transpose()).mul(r));
          same(covarianceIn(v), joseph);
          same(
            Matrix.columnVector(Array.from(v.slice(MARGIN, MARGIN + STATES))),
            Matrix.add(x, Matrix.mul(k, innovation)),
          );
          expect(nis).toBeCloseTo((innovation * innovation) / s, 8);
          expect(v.slice(0, MARGIN).every(Number.isNaN)).toBe(true);
        },
      ),
      { numRuns: 200, seed: 2 },
    );
  });
});

describe("inverse of a normal matrix", () => {
  it("is the library's", () => {
    const n = 15;
    fc.assert(
      fc.property(numbers(n * n), (entries) => {
        const a = covarianceOf(entries, n);
        const found = inverseOfPositive(a.to2DArray().map((row) => Float64Array.from(row)));
        const expected = mlInverse(a);
        expect(largest(Matrix.sub(new Matrix(found.map((row) => Array.from(row))), expected))).toBeLessThan(
          1e-8 * (1 + largest(expected)),
        );
      }),
      { numRuns: 50, seed: 3 },
    );
  });

  it("does not exist where the matrix is indefinite", () => {
    expect(() => inverseOfPositive([Float64Array.of(1, 2), Float64Array.of(2, 1)])).toThrow(RangeError);
  });
});
