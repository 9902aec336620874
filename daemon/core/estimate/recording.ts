// A heat run as samples, and the same cut into equal blocks for the fit. It judges whether the run can teach anything
// and says what to change when it cannot; it fits nothing.

import type { Model } from "./model.ts";
import { bandIndexAt } from "./model.ts";

/** One line of a recording; null = not measured. */
export type HeatRunSample = {
  readonly timeSeconds: number;
  readonly inletCelsius: number | null;
  readonly outletCelsius: number | null;
  readonly wallCelsius: number | null;
  /** Core temperature read by thermometer at this very second. */
  readonly spotCoreCelsius: number | null;
  readonly fanRpm: number | null;
  readonly driveWatts: number | null;
  readonly frequencyHertz: number | null;
};

/** Length of a block, s: shorter than every time constant but the outlet sensor's. */
export const BLOCK_SECONDS = 10;

/** The run in blocks. NaN = nothing measured in that block. */
export type Blocks = {
  readonly count: number;
  readonly inlet: Float64Array;
  readonly outlet: Float64Array;
  readonly wall: Float64Array;
  readonly speedRatio: Float64Array;
  /** Table loss, W, before κ. */
  readonly tableLoss: Float64Array;
  /** Index of the model's band, −1 while nothing is sent or no band matches. */
  readonly band: Int32Array;
  readonly spots: readonly { readonly atSeconds: number; readonly celsius: number }[];
};

/** Why a run teaches nothing, and what to do. */
export type Refusal = { readonly code: RefusalCode; readonly text: string };
export type RefusalCode =
  | "TOO_SHORT"
  | "TOO_COOL"
  | "TOO_NOISY"
  | "NO_OUTLET"
  | "NO_DRIVE"
  | "NO_BAND"
  | "NO_COOL_DOWN"
  | "NOT_EXPLAINED";

const SHORTEST_SECONDS = 20 * 60;
const LEAST_OUTLET_RISE_KELVIN = 4;
const LARGEST_NOISE_KELVIN = 0.5;
const LEAST_KEYED_SECONDS = 600;
const LEAST_QUIET_SECONDS = 300;

/** Cuts the samples into blocks of `BLOCK_SECONDS`, averaging within each. Samples must be in order of time. */
export function cutIntoBlocks(model: Model, samples: readonly HeatRunSample[]): Blocks {
  const first = samples[0]?.timeSeconds ?? 0;
  const last = samples[samples.length - 1]?.timeSeconds ?? 0;
  const count = Math.max(1, Math.floor((last - first) / BLOCK_SECONDS) + 1);
  const inlet = new Float64Array(count);
  const outlet = new Float64Array(count);
  const wall = new Float64Array(count);
  const speedRatio = new Float64Array(count);
  const tableLoss = new Float64Array(count);
  const band = new Int32Array(count).fill(-1);
  const spots: { atSeconds: number; celsius: number }[] = [];
  const tally = { inlet: new Int32Array(count), outlet: new Int32Array(count), wall: new Int32Array(count) };
  const speeds = new Int32Array(count);
  const drives = new Int32Array(count);
  for (const sample of samples) {
    const at = Math.floor((sample.timeSeconds - first) / BLOCK_SECONDS);
    add(inlet, tally.inlet, at, sample.inletCelsius);
    add(outlet, tally.outlet, at, sample.outletCelsius);
    add(wall, tally.wall, at, sample.wallCelsius);
    add(speedRatio, speeds, at, sample.fanRpm === null ? null : sample.fanRpm / model.nominalRpm);
    const index = bandIndexAt(model, sample.frequencyHertz);
    const watts = sample.driveWatts;
    add(tableLoss, drives, at, watts === null ? null : watts * (model.bands[index]?.lossFraction ?? 0));
    if (index >= 0 && (watts ?? 0) > 1) band[at] = index;
    if (sample.spotCoreCelsius !== null) {
      spots.push({ atSeconds: sample.timeSeconds - first, celsius: sample.spotCoreCelsius });
    }
  }
  average(inlet, tally.inlet);
  average(outlet, tally.outlet);
  average(wall, tally.wall);
  average(speedRatio, speeds);
  average(tableLoss, drives);
  holdGaps(inlet, 25);
  holdGaps(speedRatio, 1);
  holdGaps(tableLoss, 0);
  return { count, inlet, outlet, wall, speedRatio, tableLoss, band, spots };
}

function add(sums: Float64Array, tally: Int32Array, at: number, value: number | null): void {
  if (value === null || !Number.isFinite(value)) return;
  sums[at]! += value;
  tally[at]! += 1;
}

function average(sums: Float64Array, tally: Int32Array): void {
  for (let at = 0; at < sums.length; at++) sums[at] = tally[at]! > 0 ? sums[at]! / tally[at]! : Number.NaN;
}

/** Inputs must have a value in every block: a gap keeps the last one, the beginning takes the first. */
function holdGaps(values: Float64Array, otherwise: number): void {
  let held = values.find((value) => !Number.isNaN(value)) ?? otherwise;
  for (let at = 0; at < values.length; at++) {
    if (Number.isNaN(values[at]!)) values[at] = held;
    else held = values[at]!;
  }
}

/** Everything that keeps this run from teaching; empty when it may be fitted. */
export function refusalsOf(samples: readonly HeatRunSample[], blocks: Blocks): readonly Refusal[] {
  const refusals: Refusal[] = [];
  const refuse = (code: RefusalCode, text: string): void => {
    refusals.push({ code, text });
  };
  const seconds = blocks.count * BLOCK_SECONDS;
  if (seconds < SHORTEST_SECONDS) {
    refuse(
      "TOO_SHORT",
      `run lasts ${seconds} s, expected at least ${SHORTEST_SECONDS} s: key down longer, record the cool-down too`,
    );
  }
  let rise = 0;
  let outlets = 0;
  let keyed = 0;
  for (let at = 0; at < blocks.count; at++) {
    if (!Number.isNaN(blocks.outlet[at]!)) {
      outlets++;
      rise = Math.max(rise, blocks.outlet[at]! - blocks.inlet[at]!);
    }
    if (blocks.tableLoss[at]! > 1) keyed += BLOCK_SECONDS;
  }
  if (outlets < blocks.count / 2) {
    refuse("NO_OUTLET", "outlet_celsius is missing for more than half of the run: mend the sensor and run again");
  } else if (rise < LEAST_OUTLET_RISE_KELVIN) {
    refuse(
      "TOO_COOL",
      `outlet rose ${rise.toFixed(1)} K above the inlet, expected at least ${LEAST_OUTLET_RISE_KELVIN} K: use more drive`,
    );
  }
  if (samples.every((sample) => sample.driveWatts === null)) {
    refuse("NO_DRIVE", "drive_watts is missing: give the drive in every line, 0 while unkeyed");
  } else if (keyed < LEAST_KEYED_SECONDS) {
    const unknown = blocks.band.every((band) => band < 0);
    if (unknown) refuse("NO_BAND", "no line with drive has a frequency_hertz within a band of the config");
    else refuse("TOO_SHORT", `keyed for ${keyed} s, expected at least ${LEAST_KEYED_SECONDS} s: key down longer`);
  }
  if (keyed >= LEAST_KEYED_SECONDS && quietAfterwards(blocks) < LEAST_QUIET_SECONDS) {
    refuse(
      "NO_COOL_DOWN",
      `${quietAfterwards(blocks)} s recorded after unkeying, expected at least ${LEAST_QUIET_SECONDS} s: let it cool with the recording on`,
    );
  }
  const noise = noiseOf(samples);
  if (noise > LARGEST_NOISE_KELVIN) {
    refuse(
      "TOO_NOISY",
      `outlet scatters by ${noise.toFixed(2)} K from line to line, expected at most ${LARGEST_NOISE_KELVIN} K: choke the sensor leads against RF`,
    );
  }
  return refusals;
}

function quietAfterwards(blocks: Blocks): number {
  let at = blocks.count - 1;
  while (at >= 0 && blocks.tableLoss[at]! <= 1) at--;
  return (blocks.count - 1 - at) * BLOCK_SECONDS;
}

/** Scatter of the outlet from line to line, K: the median step over 0.954, which is blind to slow change (0.6745·√2 for normal noise). */
function noiseOf(samples: readonly HeatRunSample[]): number {
  const steps: number[] = [];
  let before: number | null = null;
  for (const { outletCelsius } of samples) {
    if (outletCelsius === null) continue;
    if (before !== null) steps.push(Math.abs(outletCelsius - before));
    before = outletCelsius;
  }
  if (steps.length === 0) return 0;
  steps.sort((a, b) => a - b);
  return steps[Math.floor(steps.length / 2)]! / 0.9539;
}
