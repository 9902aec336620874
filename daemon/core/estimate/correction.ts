// The measuring half of a step: outlet, wall and core readings enter both branches, and each decides what they may move.
// A missing or bad reading changes nothing.

import type { Reading } from "../readings.ts";
import { CORE, HEAT, LN_FLOW, SENSOR, SUN, WALL } from "./branch.ts";
import type { Degradation } from "./estimate.ts";
import { correctWith, nudgeWith, replaceState } from "./gaussian.ts";
import type { EstimatorInput } from "./input.ts";
import { kappaIsKnown } from "./kappa.ts";
import { type Compiled, DRIVEN, FREE, SLOT } from "./state.ts";

/** Measurement variances, K²: sensor noise and steps, both thermometers of the difference; where the wall sensor sits; where a spot hits. */
const OUTLET_VARIANCE = 0.1 ** 2;
const WALL_VARIANCE = 2 ** 2;
const CORE_VARIANCE = 2 ** 2;
/** With the fan stopped, per reading: some 8 K that repeat for a minute or two. */
const STILL_AIR_VARIANCE = 80 ** 2;
const SENSOR_AFTER_STALL = 1;
/** A probe that reads every second errs by its place, the same each time: it counts as one reading in this many seconds. */
const CORE_INDEPENDENT_SECONDS = 60;
/** A suspect reading counts as three times as uncertain. */
const SUSPECT_FACTOR = 9;
/** Core above the inlet from which too little air shows in the outlet, K. */
const FLOW_LEARNING_RISE_KELVIN = 20;
/** Core above the inlet up to which warmth from the sun shows in the outlet, K. */
const SUN_LEARNING_RISE_KELVIN = 15;
const NIS_SECONDS = 60;
/** Both sensors missing for longer than this is no data, s. */
const BLIND_SECONDS = 30;

/** What the step has decided before the readings come in. */
export type Situation = {
  readonly driveKnown: boolean;
  readonly bandIndex: number;
  readonly stopped: boolean;
  /** The fan began to turn in this very step. */
  readonly started: boolean;
  readonly surging: boolean;
};

/** True when the driven branch may lay a missing or added rise at the vents' door. */
export function flowShows(vector: Float64Array, stopped: boolean): boolean {
  return vector[DRIVEN + CORE]! - vector[SLOT.inlet]! > FLOW_LEARNING_RISE_KELVIN && !stopped;
}

/** Lets this cycle's readings correct both branches. */
export function correctBranches(
  vector: Float64Array,
  compiled: Compiled,
  input: EstimatorInput,
  situation: Situation,
  degraded: Degradation[],
): void {
  const dt = input.dtSeconds;
  const outlet = input.outlet?.value ?? null;
  if (outlet === null) {
    vector[SLOT.secondsWithoutOutlet]! += dt;
    degraded.push("no outlet");
  } else {
    vector[SLOT.secondsWithoutOutlet] = 0;
    vector[SLOT.outletsSeen]! += 1;
  }
  if (vector[SLOT.secondsWithoutOutlet]! > BLIND_SECONDS && vector[SLOT.secondsWithoutInlet]! > BLIND_SECONDS) {
    degraded.push("no data");
  }
  vector[SLOT.secondsWithoutCore]! += dt;
  const coreVariance =
    CORE_VARIANCE * Math.max(1, CORE_INDEPENDENT_SECONDS / Math.max(vector[SLOT.secondsWithoutCore]!, 0.01));
  if (situation.driveKnown) correctBranch(vector, DRIVEN, compiled, input, situation, coreVariance);
  correctBranch(vector, FREE, compiled, input, situation, coreVariance);
  if (input.core?.value != null) vector[SLOT.secondsWithoutCore] = 0;
}

function correctBranch(
  vector: Float64Array,
  offset: number,
  compiled: Compiled,
  input: EstimatorInput,
  situation: Situation,
  coreVariance: number,
): void {
  const { mask, gain, row } = compiled.scratch;
  const { stopped, surging, driveKnown } = situation;
  const driven = offset === DRIVEN;
  mask.fill(1);
  mask[SUN] = vector[offset + CORE]! - vector[SLOT.inlet]! < SUN_LEARNING_RISE_KELVIN ? 1 : 0;
  if (driven) {
    mask[LN_FLOW] = flowShows(vector, stopped) && !surging ? 1 : 0;
    mask[HEAT] = kappaIsKnown(compiled.model, situation.bandIndex) && !surging ? 0 : 1;
  } else {
    mask[LN_FLOW] = 0;
  }
  const { outlet, wall, core } = input;
  if (outlet !== null && outlet.value !== null) {
    const noise = (OUTLET_VARIANCE + vector[SLOT.inletVariance]!) * factorOf(outlet);
    if (situation.started) replaceState(vector, offset, SENSOR, outlet.value, SENSOR_AFTER_STALL);
    if (stopped) {
      // Without a stream the sensor feels the air where it hangs, and errs the same way for as long as it hangs there.
      nudgeWith(vector, offset, SENSOR, outlet.value, STILL_AIR_VARIANCE, mask);
    } else {
      const nis = correctWith(vector, offset, SENSOR, outlet.value, noise, mask, gain, row);
      if (driven === driveKnown) followNis(vector, nis, input.dtSeconds);
    }
  }
  if (wall !== null && wall.value !== null) {
    correctWith(vector, offset, WALL, wall.value, WALL_VARIANCE * factorOf(wall), mask, gain, row);
  }
  if (core !== null && core.value !== null) {
    correctWith(vector, offset, CORE, core.value, coreVariance * factorOf(core), mask, gain, row);
  }
}

const factorOf = (reading: Reading): number => (reading.quality === "suspect" ? SUSPECT_FACTOR : 1);

/** Running mean of the normalised innovation squared; honest from the first value on. */
function followNis(vector: Float64Array, nis: number, dt: number): void {
  const share = -Math.expm1(-Math.max(dt, 1e-3) / NIS_SECONDS);
  vector[SLOT.nisWeight]! += share * (1 - vector[SLOT.nisWeight]!);
  vector[SLOT.nis]! += (share / vector[SLOT.nisWeight]!) * (nis - vector[SLOT.nis]!);
}
