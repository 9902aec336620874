// Gathers scores over seeds and turns them into the table that stands in DEVELOPERS.md.
// Percentiles and words only; nothing is simulated here.

import type { Case, Target } from "./estimator-cases.ts";
import type { Score } from "./estimator-run.ts";

/** Scores of one case in one column over all seeds. */
export type Column = readonly Score[];

/** Widths asked of the bound while the fan turns and the vents are clean. */
const WIDTH = {
  known: { floorKelvin: 5, riseShare: 0.15 },
  unknown: { floorKelvin: 8, riseShare: 0.25 },
} as const;

/** The smallest value that at least `share` of all do not exceed. */
export function percentile(values: readonly number[], share: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.max(0, Math.ceil(share * sorted.length) - 1))] ?? Number.NaN;
}

/** Error over what is allowed, so that 1 is the target whatever the seed's rise. */
export function errorShare(target: Target, score: Score): number {
  if (target.kind === "low") return score.lowestKelvin / target.lowKelvin;
  const allowed = Math.max(target.floorKelvin, target.riseShare * score.riseKelvin) + target.extraKelvin;
  return score.rmsKelvin / allowed;
}

/** Width over what is allowed. */
export function widthShare(column: keyof typeof WIDTH, score: Score): number {
  const { floorKelvin, riseShare } = WIDTH[column];
  return score.widthKelvin / Math.max(floorKelvin, riseShare * score.riseKelvin);
}

/** Share of all seconds in which the bound held. */
function heldShare(scores: Column): number {
  let held = 0;
  let seconds = 0;
  for (const score of scores) {
    held += score.heldSeconds;
    seconds += score.seconds;
  }
  return held / seconds;
}

const words = (target: Target): string => {
  if (target.kind === "low") return `never low by > ${target.lowKelvin} K`;
  const share = `${100 * target.riseShare} %`;
  const base = target.floorKelvin > 0 ? `max(${target.floorKelvin} K, ${share})` : share;
  return target.extraKelvin > 0 ? `${base} + ${target.extraKelvin} K` : base;
};

const figure = (target: Target, scores: Column): string => {
  const kelvin = percentile(
    scores.map((score) => (target.kind === "low" ? score.lowestKelvin : score.rmsKelvin)),
    0.95,
  );
  const share = percentile(
    scores.map((score) => errorShare(target, score)),
    0.95,
  );
  if (target.kind === "low") return `${kelvin.toFixed(1)} K (${share.toFixed(2)})`;
  const ofRise = percentile(
    scores.map((score) => score.rmsKelvin / score.riseKelvin),
    0.95,
  );
  return `${kelvin.toFixed(1)} K, ${(100 * ofRise).toFixed(1)} % (${share.toFixed(2)})`;
};

const percent = (share: number): string => `${(100 * share).toFixed(2)} %`;

const held = (scores: Column): string =>
  `${percent(heldShare(scores))}; ${percent(Math.min(...scores.map((score) => score.heldSeconds / score.seconds)))}`;

const width = (column: keyof typeof WIDTH, scores: Column): string => {
  const kelvin = percentile(
    scores.map((score) => score.widthKelvin),
    0.95,
  );
  const share = percentile(
    scores.map((score) => widthShare(column, score)),
    0.95,
  );
  return `${kelvin.toFixed(1)} K (${share.toFixed(2)})`;
};

const row = (cells: readonly string[]): string => `| ${cells.join(" | ")} |`;

/** The accuracy table: error with its target, bound, width; 95th percentiles, in brackets the share of the target. */
export function accuracyTable(rows: readonly { case: Case; known: Column; unknown: Column }[]): string {
  const lines = [
    row([
      "case",
      "target, drive known",
      "drive known",
      "target, unknown",
      "drive unknown",
      "bound held, known: all seconds; worst seed",
      "unknown",
      "bound over hottest, known",
      "unknown",
    ]),
    row(Array.from({ length: 9 }, () => "---")),
  ];
  for (const { case: pattern, known, unknown } of rows) {
    lines.push(
      row([
        pattern.name,
        words(pattern.known),
        figure(pattern.known, known),
        words(pattern.unknown),
        figure(pattern.unknown, unknown),
        held(known),
        held(unknown),
        pattern.width ? width("known", known) : "–",
        pattern.width ? width("unknown", unknown) : "–",
      ]),
    );
  }
  return lines.join("\n");
}

/** The bound without a core reading and without any heat run. */
export function boundTable(
  rows: readonly { case: Case; columns: readonly { readonly name: string; readonly scores: Column }[] }[],
): string {
  const names = rows[0]?.columns.map(({ name }) => name) ?? [];
  const lines = [row(["bound held: all seconds; worst seed", ...names]), row(["---", ...names.map(() => "---")])];
  for (const { case: pattern, columns } of rows) {
    lines.push(row([pattern.name, ...columns.map(({ scores }) => held(scores))]));
  }
  return lines.join("\n");
}
