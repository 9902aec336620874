// ASTM E1049-85 (Standard practices for cycle counting in fatigue analysis), section 5.4.4 and its Fig. 6 example:
// the history −2, 1, −3, 5, −1, 3, −4, 4, −2. Table of ranges from memory, confirmed by an independent count by hand.

import { describe, expect, it } from "vitest";
import { countCycles } from "../../daemon/season/review/rainflow.ts";

const HISTORY = [-2, 1, -3, 5, -1, 3, -4, 4, -2];

function totals(values: readonly number[]): Record<number, number> {
  const sums: Record<number, number> = {};
  for (const { range, count } of countCycles(values)) sums[range] = (sums[range] ?? 0) + count;
  return sums;
}

describe("ASTM E1049-85 rainflow example", () => {
  it("counts the standard's ranges", () => {
    expect(totals(HISTORY)).toEqual({ 3: 0.5, 4: 1.5, 6: 0.5, 8: 1, 9: 0.5 });
  });

  it("closes one loop, the 4 between −1 and 3", () => {
    expect(countCycles(HISTORY).filter(({ count }) => count === 1)).toEqual([{ range: 4, mean: 1, count: 1 }]);
  });

  it("does not care for points on the way between reversals", () => {
    const dense = HISTORY.flatMap((value, index) => {
      const next = HISTORY[index + 1];
      return next === undefined
        ? [value]
        : [value, value + (next - value) / 3, value + (next - value) / 3, (value + next) / 2];
    });
    expect(totals(dense)).toEqual(totals(HISTORY));
  });
});
