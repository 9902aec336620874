// How the season bench measures and prints: percentiles, bytes a process wrote, lines with the figure that was asked for.

import { readFileSync } from "node:fs";

/** The value below which `share` of the values lie. */
export function percentile(values: readonly number[], share: number): number {
  const sorted = [...values].sort((one, other) => one - other);
  return sorted[Math.min(sorted.length - 1, Math.ceil(share * sorted.length) - 1)]!;
}

/** What the kernel counts for a process: bytes handed to write calls, and bytes of pages made dirty for a disk. */
export function writtenBytes(pid: number | "self" = "self"): { readonly handed: number; readonly dirtied: number } {
  const text = readFileSync(`/proc/${pid}/io`, "utf8");
  const field = (name: string): number => Number(new RegExp(`^${name}: (\\d+)$`, "m").exec(text)?.[1]);
  return { handed: field("wchar"), dirtied: field("write_bytes") };
}

export type Figure = {
  readonly what: string;
  readonly value: number;
  readonly unit: string;
  /** At most this; null where nothing was promised. */
  readonly wanted: number | null;
};

/** One line a figure; a figure that misses what was asked is marked. */
export function printFigures(title: string, figures: readonly Figure[]): boolean {
  process.stdout.write(`\n${title}\n`);
  let held = true;
  for (const { what, value, unit, wanted } of figures) {
    const missed = wanted !== null && !(value <= wanted);
    held &&= !missed;
    const asked = wanted === null ? "" : `  (asked: at most ${wanted} ${unit}${missed ? "; MISSED" : ""})`;
    process.stdout.write(`  ${what.padEnd(58)} ${short(value).padStart(10)} ${unit}${asked}\n`);
  }
  return held;
}

const short = (value: number): string =>
  Math.abs(value) >= 1000 ? value.toFixed(0) : Math.abs(value) >= 10 ? value.toFixed(1) : value.toPrecision(3);

/** Milliseconds that `work` takes. */
export function timed<Result>(work: () => Result): { readonly result: Result; readonly milliseconds: number } {
  const began = performance.now();
  const result = work();
  return { result, milliseconds: performance.now() - began };
}
