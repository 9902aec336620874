// One step of the estimator as a pure function: state and readings in, new state out, nothing kept here.
// It judges no alarm and moves no relay; it only says where the core is and how far that may be wrong.

import { lossGrowth } from "../physics/collapse.ts";
import { beginEstimator, compile } from "./beginning.ts";
import { CORE, HEAT, LN_FLOW, NATURAL, predictBranch, SENSOR, SUN, WALL } from "./branch.ts";
import { correctBranches, flowShows } from "./correction.ts";
import type { Degradation } from "./estimate.ts";
import { replaceState, varianceOf } from "./gaussian.ts";
import type { EstimatorInput } from "./input.ts";
import { bandAtWork, loadKappa, lossFractionOf, storeKappa, surgeShare } from "./kappa.ts";
import type { Model } from "./model.ts";
import { followHeat } from "./pace.ts";
import { DRIVEN, type EstimatorState, FREE, SLOT } from "./state.ts";
import { BLIND_SPEED, followInlet, followSpeed } from "./surroundings.ts";

export { beginEstimator } from "./beginning.ts";
export { checkpointOf, type EstimatorCheckpoint, type Resumption } from "./checkpoint.ts";
export type { EstimatorInput } from "./input.ts";
export { reportEstimate } from "./report.ts";
export type { EstimatorState } from "./state.ts";

/** Process variances per second. φ wanders by 0.4 % in a second, the unknown loss by 2 W. */
const NOISE = {
  core: 0.02 ** 2,
  wall: 0.03 ** 2,
  sensor: 0.02 ** 2,
  sun: 0.01 ** 2,
  lnFlow: 0.004 ** 2,
  lnKappa: 3e-4 ** 2 / 60,
  lnKappaSurging: 0.03 ** 2,
  lossWatts: 2 ** 2,
  lossWattsFanOff: 0.6 ** 2,
} as const;

/** The sun wanders no wider than this, W². */
const MOST_SUN_VARIANCE = 3 ** 2;
/** A sun computed or measured: what the wall takes of it is still a guess, W². */
const KNOWN_SUN_VARIANCE = 1;
const LONGEST_STEP_SECONDS = 2;
/** A gap longer than this is a restart. */
const LONGEST_GAP_SECONDS = 300;
/** For so long after a beginning the estimate calls itself restarted. */
const RESTARTED_SECONDS = 120;
/** A drive that was missing for longer than this has left the driven branch behind. */
const STALE_DRIVE_SECONDS = 2;
/** Share of the surge from which κ is free and φ is held. */
const SURGING = 0.3;

/** The state one cycle later. Pure: `state` is left as it was. A gap of more than five minutes begins anew, never cold. */
export function advanceEstimator(model: Model, state: EstimatorState, input: EstimatorInput): EstimatorState {
  const dt = input.dtSeconds;
  if (dt > LONGEST_GAP_SECONDS) return beginEstimator(model, input, null);
  const compiled = state.compiled.model === model ? state.compiled : compile(model);
  const vector = state.vector.slice();
  const degraded: Degradation[] = [];
  vector[SLOT.secondsSinceBegin]! += dt;
  if (vector[SLOT.secondsSinceBegin]! < RESTARTED_SECONDS) degraded.push("restarted");
  followInlet(vector, input, degraded);
  const speed = followSpeed(model, vector, input, degraded);
  const stopped = speed === 0;
  if (stopped) degraded.push("fan stopped");
  if (stopped && !state.fanStopped) holdFreeLoss(vector);

  const watts = input.drive?.watts.value ?? null;
  let { bandIndex } = state;
  if (watts === null) {
    vector[SLOT.secondsWithoutDrive]! += dt;
    degraded.push("drive unknown");
  } else {
    if (vector[SLOT.secondsWithoutDrive]! > STALE_DRIVE_SECONDS) restartDriven(vector);
    vector[SLOT.secondsWithoutDrive] = 0;
    const at = bandAtWork(model, bandIndex, watts, input.drive?.frequencyHertz ?? null);
    if (at !== bandIndex) {
      if (!state.surging) storeKappa(vector, bandIndex);
      loadKappa(vector, at);
      bandIndex = at;
    }
  }
  const lossFraction = lossFractionOf(model, bandIndex);
  if (input.sunWatts !== undefined) {
    for (const offset of [DRIVEN, FREE]) replaceState(vector, offset, SUN, input.sunWatts, KNOWN_SUN_VARIANCE);
  }
  const surging = enterOrLeaveSurge(model, vector, state.surging, bandIndex);
  predict(vector, compiled.box, model, compiled.scratch, watts === null ? null : watts * lossFraction, speed, dt);

  const situation = { driveKnown: watts !== null, bandIndex, stopped, started: !stopped && state.fanStopped, surging };
  correctBranches(vector, compiled, input, situation, degraded);
  if (vector[FREE + HEAT]! < 0) vector[FREE + HEAT] = 0;
  let drivenLoss = 0;
  if (watts !== null) {
    const core = vector[DRIVEN + CORE]!;
    drivenLoss = watts * lossFraction * Math.exp(vector[DRIVEN + HEAT]!) * lossGrowth(model.collapse, core);
  }
  followHeat(model, vector, drivenLoss, dt);
  return {
    atSeconds: input.atSeconds,
    vector,
    compiled,
    bandIndex,
    lossFraction,
    driveKnown: watts !== null,
    driveSuspect: input.drive?.watts.quality === "suspect",
    fanStopped: stopped,
    surging,
    degraded,
  };
}

/** Moves both branches on; a long step is divided. `tableLossWatts` null = drive not known, the driven branch waits. */
function predict(
  vector: Float64Array,
  box: EstimatorState["compiled"]["box"],
  model: Model,
  scratch: EstimatorState["compiled"]["scratch"],
  tableLossWatts: number | null,
  speed: number | null,
  dt: number,
): void {
  const inlet = vector[SLOT.inlet]!;
  const steps = Math.ceil(dt / LONGEST_STEP_SECONDS);
  const h = dt / steps;
  const { noise } = scratch;
  for (let step = 0; step < steps; step++) {
    noise[CORE] = NOISE.core * h;
    noise[WALL] = NOISE.wall * h;
    noise[SENSOR] = NOISE.sensor * h;
    noise[NATURAL] = 0;
    if (tableLossWatts !== null) {
      const surge = surgeShare(model, vector[DRIVEN + CORE]!);
      noise[SUN] = varianceOf(vector, DRIVEN, SUN) < MOST_SUN_VARIANCE ? NOISE.sun * h : 0;
      noise[LN_FLOW] = flowShows(vector, speed === 0) ? NOISE.lnFlow * (1 - surge) * h : 0;
      noise[HEAT] = (NOISE.lnKappa + (surge > SURGING ? NOISE.lnKappaSurging * surge : 0)) * h;
      const ratio = speed ?? BLIND_SPEED.driven;
      predictBranch(vector, DRIVEN, box, model.collapse, tableLossWatts, inlet, ratio, h, scratch);
    }
    noise[SUN] = varianceOf(vector, FREE, SUN) < MOST_SUN_VARIANCE ? NOISE.sun * h : 0;
    noise[LN_FLOW] = 0;
    noise[HEAT] = (speed === 0 ? NOISE.lossWattsFanOff : NOISE.lossWatts) * h;
    predictBranch(vector, FREE, box, model.collapse, null, inlet, speed ?? BLIND_SPEED.free, h, scratch);
  }
}

/**
 * Near the Curie point the table's loss means nothing: κ may then run and φ is held, because a surge looks like vents closing. Afterwards
 * what was known of κ is taken up again.
 */
function enterOrLeaveSurge(model: Model, vector: Float64Array, before: boolean, bandIndex: number): boolean {
  const surging = surgeShare(model, vector[DRIVEN + CORE]!) > SURGING;
  if (surging && !before) storeKappa(vector, bandIndex);
  if (!surging && before) loadKappa(vector, bandIndex);
  return surging;
}

/** The stream stops and with it all news of the loss: the recent average is what to go on with, not the last noisy value. */
function holdFreeLoss(vector: Float64Array): void {
  const pace = vector[SLOT.freePaceWeight]! > 0 ? vector[SLOT.freePace]! : vector[FREE + HEAT]!;
  replaceState(vector, FREE, HEAT, pace, (0.15 * pace + 2) ** 2);
}

/** The drive is known again: temperatures come from the free branch, φ and κ from memory. */
function restartDriven(vector: Float64Array): void {
  for (const state of [CORE, WALL, SENSOR, SUN]) {
    replaceState(vector, DRIVEN, state, vector[FREE + state]!, varianceOf(vector, FREE, state));
  }
}
