// Prints how well the estimator does on boxes that it has never seen: 200 drawn plants, every case, drive known and unknown.
// `--seeds N` for a quick look. It asserts nothing; the figures go into DEVELOPERS.md.

import { parseArgs } from "node:util";
import { advanceEstimator, beginEstimator, reportEstimate } from "../../daemon/core/estimate/estimator.ts";
import type { Model } from "../../daemon/core/estimate/model.ts";
import {
  BENCH_AIR_CELSIUS,
  drawBox,
  fitRecording,
  playHeatRun,
  priorModel,
  recordHeatRun,
  tableFractions,
} from "./estimator-box.ts";
import { CASES } from "./estimator-cases.ts";
import { inputAt, LIMIT_CELSIUS, type Played, play, type Score, score } from "./estimator-run.ts";
import { accuracyTable, boundTable, percentile } from "./estimator-table.ts";

/** The bound of models that promise no accuracy is looked at on every fourth box. */
const UNCALIBRATED_EVERY = 4;
const HEADROOM_FROM_SECONDS = 120;

const { values } = parseArgs({ options: { seeds: { type: "string", default: "200" } } });
const seeds = Number(values.seeds);
if (!Number.isInteger(seeds) || seeds < 1) {
  console.error(`--seeds: expected a whole number of at least 1, got ${values.seeds}`);
  process.exit(2);
}
const say = (line: string): void => void process.stdout.write(`${line}\n`);

const fractions = tableFractions();
const prior = priorModel(fractions);
const rows = CASES.map((pattern) => ({
  case: pattern,
  known: [] as Score[],
  unknown: [] as Score[],
  columns: [
    { name: "heat run, no core reading: known", scores: [] as Score[] },
    { name: "unknown", scores: [] as Score[] },
    { name: "no heat run: known", scores: [] as Score[] },
    { name: "unknown ", scores: [] as Score[] },
  ],
}));
const headroomMisses: number[] = [];
const fitMilliseconds: number[] = [];
const outletResiduals: number[] = [];
let runaways = 0;
let last: { model: Model; played: Played } | null = null;

for (let seed = 1; seed <= seeds; seed++) {
  const box = drawBox(seed);
  const heatRun = playHeatRun(box, fractions);
  const begun = performance.now();
  const result = fitRecording(prior, recordHeatRun(heatRun, box.random.fork("spot")));
  fitMilliseconds.push(performance.now() - begun);
  if (result.kind === "refused") throw new Error(`seed ${seed}: ${result.refusals.map(({ text }) => text).join("; ")}`);
  outletResiduals.push(result.fit.outletResidualKelvin);
  const { model } = result.fit;
  const uncalibrated = seed % UNCALIBRATED_EVERY === 0 || seeds < UNCALIBRATED_EVERY;
  const blind = uncalibrated ? fitRecording(prior, recordHeatRun(heatRun, null)) : null;
  rows.forEach((row, index) => {
    const played = play(box.plant, row.case, fractions, BENCH_AIR_CELSIUS, box.random.fork(row.case.name));
    const bound: { at: number; promised: number }[] = [];
    let reached: number | null = null;
    row.known.push(
      score(model, played, true, (second, estimate) => {
        if (index > 0 || reached !== null) return;
        if (estimate.headroom.kind === "at limit") reached = second;
        else if (estimate.headroom.kind === "reaches limit" && second % 15 === 0) {
          bound.push({ at: second, promised: estimate.headroom.seconds });
        }
      }),
    );
    for (const { at, promised } of bound) {
      const remaining = (reached ?? 0) - at;
      if (remaining > HEADROOM_FROM_SECONDS) headroomMisses.push(Math.abs(promised - remaining) / remaining);
    }
    row.unknown.push(score(model, played, false));
    if (index === 0 && played.core.some((celsius) => celsius > box.plant.curieCelsius)) runaways++;
    if (blind?.kind === "fitted") {
      row.columns[0]?.scores.push(score(blind.fit.model, played, true));
      row.columns[1]?.scores.push(score(blind.fit.model, played, false));
      row.columns[2]?.scores.push(score(prior, played, true));
      row.columns[3]?.scores.push(score(prior, played, false));
    }
    if (index === 1) last = { model, played };
  });
}

say(
  `${seeds} boxes, 95th percentiles, in brackets the share of the target. ${runaways} of them run away past their Curie point in the first case and stay in.`,
);
say("");
say(accuracyTable(rows));
say("");
say(`${rows[0]?.columns[0]?.scores.length ?? 0} boxes without calibration: no accuracy is promised, the bound is.`);
say("");
say(boundTable(rows));
say("");
if (headroomMisses.length > 0) {
  say(
    `Headroom in the first case while more than two minutes remained: off by ${(100 * percentile(headroomMisses, 0.5)).toFixed(1)} % (median), ${(100 * percentile(headroomMisses, 0.75)).toFixed(1)} % (75th), ${(100 * percentile(headroomMisses, 0.9)).toFixed(1)} % (90th percentile) of the time until the bound reached ${LIMIT_CELSIUS} °C.`,
  );
}
say(
  `Heat run of 85 min fitted in ${percentile(fitMilliseconds, 0.5).toFixed(0)} ms (median), ${Math.max(...fitMilliseconds).toFixed(0)} ms (most); outlet residual ${percentile(outletResiduals, 0.5).toFixed(3)} K (median).`,
);
if (last !== null) sayStepTimes(last);

/** Median time of a step and of a step with its report, over batches of a thousand. */
function sayStepTimes({ model, played }: { model: Model; played: Played }): void {
  const inputs = Array.from({ length: played.seconds }, (_, second) => inputAt(played, second, true));
  const steps: number[] = [];
  const reports: number[] = [];
  let state = beginEstimator(model, inputs[0]!, null);
  let kept = 0;
  for (let second = 1; second + 1000 < played.seconds; second += 1000) {
    const first = performance.now();
    for (let at = second; at < second + 1000; at++) state = advanceEstimator(model, state, inputs[at]!);
    const middle = performance.now();
    for (let at = 0; at < 1000; at++) kept += reportEstimate(model, state, { limitCelsius: LIMIT_CELSIUS }).coreCelsius;
    steps.push(middle - first);
    reports.push(performance.now() - middle);
  }
  // A thousand steps in milliseconds are microseconds a step.
  say(
    `One step of both filters ${percentile(steps, 0.5).toFixed(1)} µs, one report ${percentile(reports, 0.5).toFixed(1)} µs (medians; mean core of the batches ${(kept / (1000 * reports.length)).toFixed(0)} °C).`,
  );
}
