// Corner cases of the filter's algebra that no formula states: what is left alone, what is forgotten, what a nudge may not do.
// The formulas themselves are held against a matrix library in tests/reference.

import { describe, expect, it } from "vitest";
import {
  BRANCH_LENGTH,
  correctWith,
  nudgeWith,
  replaceState,
  STATES,
  varianceOf,
} from "../../../daemon/core/estimate/gaussian.ts";

const branch = (): Float64Array => {
  const v = new Float64Array(BRANCH_LENGTH);
  for (let i = 0; i < STATES; i++) {
    v[i] = 10 * i;
    for (let j = 0; j < STATES; j++) v[STATES + i * STATES + j] = i === j ? 4 : 1;
  }
  return v;
};
const all = new Float64Array(STATES).fill(1);

describe("correction", () => {
  it("moves every correlated state and makes each surer", () => {
    const v = branch();
    correctWith(v, 0, 2, 30, 1, all, new Float64Array(STATES), new Float64Array(STATES));
    expect(v[2]).toBeCloseTo(20 + (4 / 5) * 10, 12);
    expect(v[0]).toBeCloseTo((1 / 5) * 10, 12);
    for (let i = 0; i < STATES; i++) expect(varianceOf(v, 0, i)).toBeLessThan(4);
  });

  it("leaves a held state's value and variance as they were", () => {
    const v = branch();
    const mask = all.slice();
    mask[0] = 0;
    correctWith(v, 0, 2, 30, 1, mask, new Float64Array(STATES), new Float64Array(STATES));
    expect(v[0]).toBe(0);
    expect(varianceOf(v, 0, 0)).toBe(4);
  });
});

describe("nudge", () => {
  it("moves the mean as a correction does and the covariance not at all", () => {
    const nudged = branch();
    const corrected = branch();
    const before = nudged.slice(STATES);
    nudgeWith(nudged, 0, 2, 30, 1, all);
    correctWith(corrected, 0, 2, 30, 1, all, new Float64Array(STATES), new Float64Array(STATES));
    for (let i = 0; i < STATES; i++) expect(nudged[i]).toBeCloseTo(corrected[i]!, 12);
    expect(nudged.slice(STATES)).toEqual(before);
  });
});

describe("replacing a state", () => {
  it("forgets its correlations and nobody else's", () => {
    const v = branch();
    replaceState(v, 0, 1, 77, 9);
    expect(v[1]).toBe(77);
    expect(varianceOf(v, 0, 1)).toBe(9);
    expect(v[STATES + 1 * STATES + 3]).toBe(0);
    expect(v[STATES + 3 * STATES + 1]).toBe(0);
    expect(v[STATES + 3 * STATES + 4]).toBe(1);
  });
});
