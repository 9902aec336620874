// Where the truth plant stands: temperatures, flows and running sums, how they begin and what can be read from them.
// Plain data that `advancePlant` changes in place; nothing here moves by itself.

import type { PlantParameters } from "./plant-parameters.ts";

/** What the world does to the box during one step. Fields may be overwritten and the object used again. */
export type PlantInput = {
  dtSeconds: number;
  /** RF power at the primary, average over the step, W. */
  driveWatts: number;
  /** Heat (ferrite and copper) over drive at 25 °C, this box's true one (table times its band factor). */
  lossFraction: number;
  /** Fan speed over nominal; 0 = stopped. */
  fanRatio: number;
  /** 1 = clean vents; scales flow at a given fan speed. */
  flowFactor: number;
  inletCelsius: number;
  ambientCelsius: number;
  /** Sun absorbed by the wall, W. */
  sunWatts: number;
};

/** Energy that crossed the border since the beginning, J. Stored heat changes by loss + sun − air − outside. */
export type Ledger = { lossJoules: number; sunJoules: number; airJoules: number; outsideJoules: number };

/** Flows of the latest evaluation, W, and the air leaving. */
export type Flows = {
  lossWatts: number;
  coreToAirWatts: number;
  airToWallWatts: number;
  coreToWallWatts: number;
  airWatts: number;
  outsideWatts: number;
  airFlowWattsPerKelvin: number;
  outletCelsius: number;
};

/** Temperatures of all nodes and the running sums; changed in place by `advancePlant`. */
export type PlantState = {
  /** Celsius: outside halves 0 … n−1, bore halves n … 2n−1, winding, inner wall face, outer wall face. */
  readonly nodes: Float64Array;
  sensedOutletCelsius: number;
  readonly flows: Flows;
  readonly ledger: Ledger;
  /** Scratch, so that a step allocates nothing: slope at the start, slope at the trial point, trial point. */
  readonly slope: Float64Array;
  readonly secondSlope: Float64Array;
  readonly trial: Float64Array;
};

/** The part of a toroid's ferrite that lies on the bore side of the mean radius. */
export const BORE_MASS = 0.4;

/** A box that has stood at `airCelsius` for a long time. */
export function beginPlant(parameters: PlantParameters, airCelsius: number): PlantState {
  const size = 2 * parameters.toroids + 3;
  return {
    nodes: new Float64Array(size).fill(airCelsius),
    sensedOutletCelsius: airCelsius,
    flows: {
      lossWatts: 0,
      coreToAirWatts: 0,
      airToWallWatts: 0,
      coreToWallWatts: 0,
      airWatts: 0,
      outsideWatts: 0,
      airFlowWattsPerKelvin: 0,
      outletCelsius: airCelsius,
    },
    ledger: { lossJoules: 0, sunJoules: 0, airJoules: 0, outsideJoules: 0 },
    slope: new Float64Array(size),
    secondSlope: new Float64Array(size),
    trial: new Float64Array(size),
  };
}

/** The hottest ferrite: the bore half of the hottest toroid. This is what the upper bound has to cover. */
export function hottestToroidCelsius(parameters: PlantParameters, state: PlantState): number {
  const n = parameters.toroids;
  let hottest = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < 2 * n; i += 1) hottest = Math.max(hottest, state.nodes[i]!);
  return hottest;
}

/** Mean of ferrite and winding, weighted by heat capacity: what a lumped model calls the core. */
export function meanCoreCelsius(parameters: PlantParameters, state: PlantState): number {
  const n = parameters.toroids;
  let ferrite = 0;
  for (let i = 0; i < n; i += 1) ferrite += (1 - BORE_MASS) * state.nodes[i]! + BORE_MASS * state.nodes[n + i]!;
  const capacity = parameters.ferriteHeatCapacity + parameters.windingHeatCapacity;
  return (
    ((ferrite / n) * parameters.ferriteHeatCapacity + state.nodes[2 * n]! * parameters.windingHeatCapacity) / capacity
  );
}

/** Air leaving the box now, without any sensor. */
export const outletCelsius = (state: PlantState): number => state.flows.outletCelsius;

/** Air leaving the box as the lagging outlet sensor has it, without noise or steps. */
export const sensedOutletCelsius = (state: PlantState): number => state.sensedOutletCelsius;

/** Inner face of the wall, where a wall sensor sits. */
export const wallCelsius = (parameters: PlantParameters, state: PlantState): number =>
  state.nodes[2 * parameters.toroids + 1]!;

/** Heat held above 0 °C by all nodes, J. */
export function storedJoules(parameters: PlantParameters, state: PlantState): number {
  const n = parameters.toroids;
  const half = 0.5 * parameters.wallHeatCapacity * (state.nodes[2 * n + 1]! + state.nodes[2 * n + 2]!);
  return meanCoreCelsius(parameters, state) * (parameters.ferriteHeatCapacity + parameters.windingHeatCapacity) + half;
}
