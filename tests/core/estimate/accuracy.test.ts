// The estimator on a handful of drawn boxes that it has never seen: accuracy, bound and its width, as the bench prints them for 200.
// Seeds are fixed; the targets are the design's.

import { beforeAll, describe, expect, it } from "vitest";
import type { Model } from "../../../daemon/core/estimate/model.ts";
import {
  BENCH_AIR_CELSIUS,
  calibratedModel,
  type DrawnBox,
  drawBox,
  priorModel,
  tableFractions,
} from "../../bench/estimator-box.ts";
import { CASES } from "../../bench/estimator-cases.ts";
import { type Played, play, score } from "../../bench/estimator-run.ts";
import { errorShare, widthShare } from "../../bench/estimator-table.ts";

const SEEDS = [2, 6, 9];
const fractions = tableFractions();
const prior = priorModel(fractions);
const boxes: { box: DrawnBox; model: Model }[] = [];

beforeAll(() => {
  for (const seed of SEEDS) {
    const box = drawBox(seed);
    boxes.push({ box, model: calibratedModel(prior, box, fractions) });
  }
});

describe.each(CASES)("$name", (pattern) => {
  const plays: Played[] = [];
  beforeAll(() => {
    for (const { box } of boxes) {
      plays.push(play(box.plant, pattern, fractions, BENCH_AIR_CELSIUS, box.random.fork(pattern.name)));
    }
  });

  it.each(["known", "unknown"] as const)("drive %s: within the target, and the bound holds", (column) => {
    boxes.forEach(({ model }, index) => {
      const result = score(model, plays[index]!, column === "known");
      expect(result.riseKelvin).toBeGreaterThan(4);
      expect(errorShare(pattern[column], result), `seed ${SEEDS[index]} error`).toBeLessThan(1);
      expect(result.heldSeconds / result.seconds, `seed ${SEEDS[index]} held`).toBeGreaterThanOrEqual(0.99);
      if (pattern.width) expect(widthShare(column, result), `seed ${SEEDS[index]} width`).toBeLessThan(1.1);
    });
  });

  it("without any heat run the bound still holds", () => {
    const result = score(prior, plays[0]!, true);
    expect(result.heldSeconds / result.seconds).toBeGreaterThanOrEqual(0.99);
  });
});
