// Identification from a heat run: which parameters, which residuals, and what a finished fit is worth.
// The search itself is a library's business and is passed in; nothing here iterates towards a minimum.

import { type BoxConstants, exponentialStep, lineariseBox } from "../physics/box.ts";
import { lossGrowth } from "../physics/collapse.ts";
import { inverseOfPositive } from "./inverse.ts";
import { CONSTANT_NAMES, type ConstantName, type Model } from "./model.ts";
import { BLOCK_SECONDS, type Blocks } from "./recording.ts";

/** One parameter of the fit: a logarithm (or a temperature offset) with a normal prior. */
export type Parameter =
  | { readonly kind: "constant"; readonly name: ConstantName; readonly prior: number; readonly sigma: number }
  | { readonly kind: "kappa"; readonly band: number; readonly prior: number; readonly sigma: number }
  | { readonly kind: "initial"; readonly node: "core" | "wall"; readonly prior: number; readonly sigma: number };

/** What a least-squares search is given: residuals as a function of parameters in units of their prior's deviation. */
export type LeastSquaresProblem = {
  readonly initial: readonly number[];
  readonly count: number;
  readonly residuals: (z: readonly number[]) => Float64Array;
};

/** Minimises the sum of squares and returns the parameters. */
export type LeastSquaresSolver = (problem: LeastSquaresProblem) => readonly number[];

/** Standard uncertainties of the measurements within the fit. */
export type FitWeights = {
  /** Mean outlet of one block: noise, and what a lumped model cannot follow. */
  readonly outletKelvin: number;
  readonly spotKelvin: number;
  readonly wallKelvin: number;
};

export const FIT_WEIGHTS: FitWeights = { outletKelvin: 0.2, spotKelvin: 1.6, wallKelvin: 3 };

/** Hessian intervals of such fits came out 1.5 to 3 times too narrow in trials. */
export const WIDENING = 2.5;

/** Parameters that this run can speak about: all constants, κ of each band used, and how it began. */
export function parametersFor(model: Model, blocks: Blocks): readonly Parameter[] {
  const parameters: Parameter[] = CONSTANT_NAMES.map((name) => ({
    kind: "constant",
    name,
    prior: Math.log(model.constants[name].value),
    sigma: model.constants[name].uncertaintyRatio,
  }));
  model.bands.forEach((band, index) => {
    if (blocks.band.includes(index)) {
      parameters.push({ kind: "kappa", band: index, prior: Math.log(band.kappa), sigma: band.kappaUncertainty });
    }
  });
  parameters.push({ kind: "initial", node: "core", prior: 0, sigma: 4 });
  parameters.push({ kind: "initial", node: "wall", prior: 0, sigma: 2 });
  return parameters;
}

/** Temperatures that the network gives for one run. */
export type Trajectory = { readonly outlet: Float64Array; readonly core: Float64Array; readonly wall: Float64Array };

/** Runs the network over the blocks from parameters in units of their priors' deviations. */
export function simulate(
  model: Model,
  blocks: Blocks,
  parameters: readonly Parameter[],
  z: readonly number[],
  into: Trajectory,
): void {
  const box = { ...baseBox(model) };
  const kappa = model.bands.map((band) => band.kappa);
  let core = blocks.inlet[0]!;
  let wall = blocks.inlet[0]!;
  parameters.forEach((parameter, index) => {
    const value = parameter.prior + parameter.sigma * z[index]!;
    if (parameter.kind === "constant") box[parameter.name] = Math.exp(value);
    else if (parameter.kind === "kappa") kappa[parameter.band] = Math.exp(value);
    else if (parameter.node === "core") core += value;
    else wall += value;
  });
  let sensor = Number.NaN;
  for (let at = 0; at < blocks.count; at++) {
    const band = blocks.band[at]!;
    const loss = band < 0 ? 0 : blocks.tableLoss[at]! * kappa[band]! * lossGrowth(model.collapse, core);
    const line = lineariseBox(
      box,
      { coreCelsius: core, wallCelsius: wall },
      { inletCelsius: blocks.inlet[at]!, sunWatts: 0, lossWatts: loss },
      { speedRatio: blocks.speedRatio[at]!, flowFactor: 1 },
    );
    const { p, q } = exponentialStep(line, BLOCK_SECONDS);
    const { coreRate, wallRate, coreByCore, coreByWall, wallByCore, wallByWall } = line;
    const coreMove = BLOCK_SECONDS * (p * coreRate + q * (coreByCore * coreRate + coreByWall * wallRate));
    const wallMove = BLOCK_SECONDS * (p * wallRate + q * (wallByCore * coreRate + wallByWall * wallRate));
    const meet = line.coreToAir + line.airToWall + line.airHeatFlow;
    const airMove = (line.coreToAir * coreMove + line.airToWall * wallMove) / meet;
    const air = line.airCelsius + 0.5 * airMove;
    if (Number.isNaN(sensor)) sensor = line.airCelsius;
    const lag = line.stopped ? box.outletLagFanOffSeconds : box.outletLagSeconds;
    const keep = Math.exp(-BLOCK_SECONDS / lag);
    const next = air + (sensor - air) * keep;
    // Mean over the block of a lag towards a constant: air + (sensor − air)·(τ/Δ)(1 − e^(−Δ/τ)).
    into.outlet[at] = air + ((sensor - air) * (1 - keep) * lag) / BLOCK_SECONDS;
    into.core[at] = core;
    into.wall[at] = wall + 0.5 * wallMove;
    sensor = next;
    core += coreMove;
    wall += wallMove;
  }
  into.core[blocks.count] = core;
}

function baseBox(model: Model): { -readonly [name in keyof BoxConstants]: number } {
  return Object.fromEntries(CONSTANT_NAMES.map((name) => [name, model.constants[name].value])) as {
    [name in ConstantName]: number;
  };
}

/** Room for one trajectory; the core has one value more than there are blocks. */
export const roomFor = (blocks: Blocks): Trajectory => ({
  outlet: new Float64Array(blocks.count),
  core: new Float64Array(blocks.count + 1),
  wall: new Float64Array(blocks.count),
});

/** The maximum a posteriori problem: outlet, wall and spot residuals over their uncertainties, then the priors. */
export function heatRunProblem(
  model: Model,
  blocks: Blocks,
  parameters: readonly Parameter[],
  weights: FitWeights = FIT_WEIGHTS,
): LeastSquaresProblem {
  const outlets = indicesWith(blocks.outlet);
  const walls = indicesWith(blocks.wall);
  const count = outlets.length + walls.length + blocks.spots.length + parameters.length;
  const room = roomFor(blocks);
  const residuals = (z: readonly number[]): Float64Array => {
    simulate(model, blocks, parameters, z, room);
    const out = new Float64Array(count);
    let next = 0;
    for (const at of outlets) out[next++] = (blocks.outlet[at]! - room.outlet[at]!) / weights.outletKelvin;
    for (const at of walls) out[next++] = (blocks.wall[at]! - room.wall[at]!) / weights.wallKelvin;
    for (const spot of blocks.spots) {
      out[next++] = (spot.celsius - coreAt(room.core, spot.atSeconds)) / weights.spotKelvin;
    }
    for (const value of z) out[next++] = value;
    return out;
  };
  return { initial: parameters.map(() => 0), count, residuals };
}

function indicesWith(values: Float64Array): readonly number[] {
  const indices: number[] = [];
  values.forEach((value, index) => {
    if (!Number.isNaN(value)) indices.push(index);
  });
  return indices;
}

/** Core at a moment, between the blocks' edges. */
export function coreAt(core: Float64Array, atSeconds: number): number {
  const at = Math.min(Math.max(atSeconds / BLOCK_SECONDS, 0), core.length - 1.001);
  const index = Math.floor(at);
  const share = at - index;
  return core[index]! * (1 - share) + core[index + 1]! * share;
}

const DIFFERENCE = 1e-3;

/** Covariance of z at the solution, (JᵀJ)⁻¹ by central differences, before any widening. */
export function covarianceAt(problem: LeastSquaresProblem, z: readonly number[]): readonly Float64Array[] {
  const n = z.length;
  const columns: Float64Array[] = [];
  for (let j = 0; j < n; j++) {
    const up = z.slice();
    const down = z.slice();
    up[j]! += DIFFERENCE;
    down[j]! -= DIFFERENCE;
    const high = problem.residuals(up);
    const low = problem.residuals(down);
    columns.push(high.map((value, index) => (value - low[index]!) / (2 * DIFFERENCE)));
  }
  const normal: Float64Array[] = [];
  for (let i = 0; i < n; i++) {
    const row = new Float64Array(n);
    for (let j = 0; j < n; j++) {
      let sum = 0;
      for (let k = 0; k < problem.count; k++) sum += columns[i]![k]! * columns[j]![k]!;
      row[j] = sum;
    }
    normal.push(row);
  }
  return inverseOfPositive(normal);
}

/** Standard uncertainty of the hottest core of the run over its rise, from the covariance of z, before any widening. */
export function riseUncertaintyOf(
  model: Model,
  blocks: Blocks,
  parameters: readonly Parameter[],
  z: readonly number[],
  covariance: readonly Float64Array[],
): number {
  const room = roomFor(blocks);
  simulate(model, blocks, parameters, z, room);
  let at = 0;
  for (let index = 1; index < blocks.count; index++) if (room.core[index]! > room.core[at]!) at = index;
  const rise = room.core[at]! - blocks.inlet[at]!;
  const slopes = z.map((_, j) => {
    const moved = z.map((value, index) => (index === j ? value + DIFFERENCE : value));
    const before = room.core[at]!;
    const shifted = roomFor(blocks);
    simulate(model, blocks, parameters, moved, shifted);
    return (shifted.core[at]! - before) / DIFFERENCE;
  });
  let variance = 0;
  slopes.forEach((a, i) => {
    slopes.forEach((b, j) => {
      variance += a * covariance[i]![j]! * b;
    });
  });
  return Math.sqrt(Math.max(variance, 0)) / Math.max(rise, 1);
}
