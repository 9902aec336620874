// One of the two filters: what its states mean and how they move in time. Branch "driven" knows the drive and takes the loss from
// the table; branch "free" knows no drive and follows the loss from the air alone. Neither ever sees the other.

import { type BoxConstants, exponentialStep, FILM_EXPONENT, lineariseBox } from "../physics/box.ts";
import { type Collapse, lossGrowth, lossGrowthSlope } from "../physics/collapse.ts";
import { MOVING, predictCovariance, STATES } from "./gaussian.ts";

/**
 * Indices of the states. HEAT is ln κ in the driven branch and the loss in watts (as of a core far below its Curie point) in the
 * free one. NATURAL is the logarithm by which natural convection differs from the model; it acts only while the fan stands.
 */
export const CORE = 0;
export const WALL = 1;
export const SENSOR = 2;
export const SUN = 3;
export const LN_FLOW = 4;
export const HEAT = 5;
export const NATURAL = 6;

/** Arrays that a step overwrites before reading; they carry nothing from one step to the next. */
export type Scratch = {
  readonly transition: Float64Array;
  readonly noise: Float64Array;
  readonly work: Float64Array;
  readonly gain: Float64Array;
  readonly row: Float64Array;
  readonly mask: Float64Array;
};

/** Fresh scratch for one estimator. */
export function newScratch(): Scratch {
  return {
    transition: new Float64Array(MOVING * STATES),
    noise: new Float64Array(STATES),
    work: new Float64Array(MOVING * STATES),
    gain: new Float64Array(STATES),
    row: new Float64Array(STATES),
    mask: new Float64Array(STATES),
  };
}

/**
 * Moves the branch at `offset` on by `dtSeconds` (at most a few seconds). `tableLossWatts` is the table's loss at the present drive
 * for the driven branch and null for the free one. `scratch.noise` must hold the process variances of this step.
 */
export function predictBranch(
  v: Float64Array,
  offset: number,
  box: BoxConstants,
  collapse: Collapse,
  tableLossWatts: number | null,
  inletCelsius: number,
  speedRatio: number,
  dtSeconds: number,
  scratch: Scratch,
): void {
  const core = v[offset + CORE]!;
  const wall = v[offset + WALL]!;
  const sensor = v[offset + SENSOR]!;
  const flow = Math.exp(v[offset + LN_FLOW]!);
  const heat = v[offset + HEAT]!;
  const cold = tableLossWatts === null ? heat : tableLossWatts * Math.exp(heat);
  const growth = lossGrowth(collapse, core);
  const loss = cold * growth;
  const lossByHeat = tableLossWatts === null ? growth : loss;
  const lossByCore = cold * lossGrowthSlope(collapse, core);
  const natural = Math.exp(v[offset + NATURAL]!);
  const line = lineariseBox(
    box,
    { coreCelsius: core, wallCelsius: wall },
    { inletCelsius, sunWatts: v[offset + SUN]!, lossWatts: loss },
    { speedRatio, flowFactor: flow, naturalFactor: natural },
    lossByCore,
  );
  const { coreToAir: u, airToWall: w, airHeatFlow: c, airCelsius: air, coreRate, wallRate } = line;
  const { coreByCore, coreByWall, wallByCore, wallByWall } = line;
  const { p, q } = exponentialStep(line, dtSeconds);
  // φ₁(A·dt)·dt, by which a constant rate turns into a change.
  const cc = dtSeconds * (p + q * coreByCore);
  const cw = dtSeconds * q * coreByWall;
  const wc = dtSeconds * q * wallByCore;
  const ww = dtSeconds * (p + q * wallByWall);
  const nextCore = core + cc * coreRate + cw * wallRate;
  const nextWall = wall + wc * coreRate + ww * wallRate;
  const meet = c + u + w;
  const airByCore = u / meet;
  const airByWall = w / meet;
  const lag = line.stopped ? box.outletLagFanOffSeconds : box.outletLagSeconds;
  const follow = -Math.expm1(-dtSeconds / lag);
  const airMidway = air + 0.5 * (airByCore * (nextCore - core) + airByWall * (nextWall - wall));

  const perCore = 1 / box.coreHeatCapacityJoulesPerKelvin;
  const perWall = 1 / box.wallHeatCapacityJoulesPerKelvin;
  // By ln φ: with the fan on U and W go with φ^0.6 and C with φ; with the fan off only C does. By ln natural: U and C, fan off only.
  const film = line.stopped ? 0 : FILM_EXPONENT;
  const airByFlow = (c * (inletCelsius - air) * (1 - film)) / meet;
  const coreRateByFlow = u * (airByFlow - film * (core - air)) * perCore;
  const wallRateByFlow = w * (airByFlow + film * (air - wall)) * perWall;
  const coreRateByHeat = lossByHeat * perCore;
  const airByNatural = line.stopped ? (w * (air - wall)) / meet : 0;
  const coreRateByNatural = line.stopped ? u * (airByNatural - (core - air)) * perCore : 0;
  const wallRateByNatural = w * airByNatural * perWall;

  const f = scratch.transition;
  f[CORE] = 1 + cc * coreByCore + cw * wallByCore;
  f[WALL] = cc * coreByWall + cw * wallByWall;
  f[SENSOR] = 0;
  f[SUN] = cw * perWall;
  f[LN_FLOW] = cc * coreRateByFlow + cw * wallRateByFlow;
  f[HEAT] = cc * coreRateByHeat;
  f[NATURAL] = cc * coreRateByNatural + cw * wallRateByNatural;
  f[STATES + CORE] = wc * coreByCore + ww * wallByCore;
  f[STATES + WALL] = 1 + wc * coreByWall + ww * wallByWall;
  f[STATES + SENSOR] = 0;
  f[STATES + SUN] = ww * perWall;
  f[STATES + LN_FLOW] = wc * coreRateByFlow + ww * wallRateByFlow;
  f[STATES + HEAT] = wc * coreRateByHeat;
  f[STATES + NATURAL] = wc * coreRateByNatural + ww * wallRateByNatural;
  f[2 * STATES + CORE] = follow * airByCore;
  f[2 * STATES + WALL] = follow * airByWall;
  f[2 * STATES + SENSOR] = 1 - follow;
  f[2 * STATES + SUN] = 0;
  f[2 * STATES + LN_FLOW] = follow * airByFlow;
  f[2 * STATES + HEAT] = 0;
  f[2 * STATES + NATURAL] = follow * airByNatural;
  predictCovariance(v, offset, f, scratch.noise, scratch.work);
  v[offset + CORE] = nextCore;
  v[offset + WALL] = nextWall;
  v[offset + SENSOR] = sensor + follow * (airMidway - sensor);
}
