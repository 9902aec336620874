// The estimator as pure functions: begin, advance, checkpoint. State goes in, new state comes out, nothing is kept here.
// It judges no alarm and moves no relay; it only says where the core is and how far that may be wrong.

import { conductancesAt } from "../physics/box.ts";
import { lossGrowth } from "../physics/collapse.ts";
import type { Reading } from "../readings.ts";
import { CORE, HEAT, LN_FLOW, NATURAL, newScratch, predictBranch, SENSOR, SUN, WALL } from "./branch.ts";
import type { Degradation } from "./estimate.ts";
import { correctWith, replaceState, STATES, varianceOf } from "./gaussian.ts";
import { bandIndexAt, boxConstantsOf, type Model } from "./model.ts";
import { BANDS_AT, type Compiled, DRIVEN, type EstimatorState, FREE, SLOT, vectorLength } from "./state.ts";

export { reportEstimate } from "./report.ts";
export type { EstimatorState } from "./state.ts";

/** What one cycle offers the estimator. A sensor that is not fitted is null, one that failed is a `bad` reading. */
export type EstimatorInput = {
  /** Monotonic seconds. */
  readonly atSeconds: number;
  /** Seconds since the state was last advanced; 0 at the beginning. */
  readonly dtSeconds: number;
  readonly inlet: Reading | null;
  readonly outlet: Reading | null;
  readonly wall: Reading | null;
  readonly ambient: Reading | null;
  /** A probe on the ferrite or a spot reading of this very second. */
  readonly core: Reading | null;
  /** `turning` is the fan verdict where there is one; null = not known. */
  readonly fan: { readonly rpm: number | null; readonly turning: boolean | null };
  /** null = nothing is known of the drive. */
  readonly drive: { readonly watts: Reading; readonly frequencyHertz: number | null } | null;
  /** Sun on the wall when it is known, W. */
  readonly sunWatts?: number;
};

/** What survives a restart: plain JSON. */
export type EstimatorCheckpoint = {
  readonly version: 1;
  /** Monotonic seconds of the boot that wrote it. */
  readonly atSeconds: number;
  readonly coreCelsius: number;
  readonly coreUncertaintyKelvin: number;
  readonly flowFactor: number;
  readonly flowFactorUncertainty: number;
  readonly sunWatts: number;
  /** ln κ and its standard uncertainty per band as learned, by the band's name. */
  readonly bands: readonly { readonly band: string; readonly lnKappa: number; readonly uncertainty: number }[];
};

/** A checkpoint found at start; `ageSeconds` null when the time away is not known (the clock is untrusted). */
export type Resumption = { readonly checkpoint: EstimatorCheckpoint; readonly ageSeconds: number | null };

export type EstimateLimits = { readonly limitCelsius: number };

/** Standard uncertainty of a core temperature worked back from the outlet alone, K. */
const RESTART_UNCERTAINTY_KELVIN = 12;
/** The same when the fan stands: the outlet then says next to nothing. */
const STOPPED_RESTART_UNCERTAINTY_KELVIN = 25;
/** Rise assumed when there is no outlet to work back from. */
const BLIND_RISE_KELVIN = 60;

/** ln of natural convection and draught, standard uncertainty, while no run has shown them. */
const NATURAL_UNCERTAINTY = 0.3;

/** Process variances per second. */
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

/** Measurement variances, K². */
const OUTLET_VARIANCE = 0.12 ** 2;
const WALL_VARIANCE = 1.5 ** 2;
const CORE_VARIANCE = 2 ** 2;
/** A suspect reading counts as three times as uncertain. */
const SUSPECT_FACTOR = 9;

const INLET_SMOOTHING_SECONDS = 10;
/** Core above the inlet from which a missing rise of the outlet can be laid at the vents' door, K. */
const FLOW_LEARNING_RISE_KELVIN = 20;
/** Core above the inlet up to which the sun may be learned, K. */
const SUN_LEARNING_RISE_KELVIN = 15;
/** Bands whose ln κ is better known than this keep it; worse ones go on learning. */
const KAPPA_KNOWN = 0.08;
/** Longest step of the prediction, s. */
const LONGEST_STEP_SECONDS = 2;
/** A gap longer than this is a restart. */
const LONGEST_GAP_SECONDS = 300;
/** Speed ratios assumed while the tach is missing: each branch takes the one that reads the core hotter. */
const BLIND_SPEED = { driven: 0.6, free: 1, lnVariance: 0.4 ** 2 } as const;
/** Loss fraction over the worst band's, and its ln uncertainty, while the band is not known. */
const UNKNOWN_BAND_LN_VARIANCE = 0.3 ** 2;
/** Share of the surge from which κ is free and φ is held. */
const SURGING = 0.3;
/** Share of the surge from which φ is no longer averaged. */
const SURGE_AHEAD = 0.01;
const FLOW_AVERAGE_SECONDS = 600;
/** Time in which the bore side follows a change of loss. */
const BORE_SECONDS = 20;
const PACE_SECONDS = 300;
const QUIET_SECONDS = 90;
const QUIET_WATTS = 3;
const NIS_SECONDS = 60;

/** A state to begin from: worked back from the outlet, never cold because nothing is remembered. */
export function beginEstimator(model: Model, input: EstimatorInput, resumption: Resumption | null): EstimatorState {
  const compiled: Compiled = { model, box: boxConstantsOf(model), scratch: newScratch() };
  const vector = new Float64Array(vectorLength(model));
  const kept = resumption?.checkpoint ?? null;
  model.bands.forEach((band, index) => {
    const remembered = kept?.bands.find((one) => one.band === band.band);
    vector[BANDS_AT + 2 * index] = remembered?.lnKappa ?? Math.log(band.kappa);
    vector[BANDS_AT + 2 * index + 1] = Math.max(remembered?.uncertainty ?? 0, band.kappaUncertainty) ** 2;
  });
  const inlet = input.inlet?.value ?? input.ambient?.value ?? null;
  const outlet = input.outlet?.value ?? null;
  const lnFlow = Math.log(kept?.flowFactor ?? 1);
  const speedRatio = speedRatioOf(model, input);
  const stopped = speedRatio === 0;
  vector[SLOT.inlet] = inlet ?? 25;
  vector[SLOT.inletVariance] = inlet === null ? 100 : 0;
  vector[SLOT.savedLnFlowVariance] = -1;
  vector[SLOT.speedRatio] = speedRatio ?? 1;
  const base = vector[SLOT.inlet]!;
  let core = base + BLIND_RISE_KELVIN;
  let sigma = BLIND_RISE_KELVIN / 2;
  if (outlet !== null) {
    const rise = Math.max(outlet - base, 0);
    const g = conductancesAt(compiled.box, base + 60, base + 10, base, speedRatio ?? 1, Math.exp(lnFlow));
    core = base + rise * (stopped ? 4 : (g.airHeatFlow + g.coreToAir) / g.coreToAir);
    sigma = stopped ? STOPPED_RESTART_UNCERTAINTY_KELVIN : RESTART_UNCERTAINTY_KELVIN;
  }
  if (kept !== null && kept.coreCelsius > core) core = kept.coreCelsius;
  const wall = input.wall?.value ?? outlet ?? base;
  for (const offset of [DRIVEN, FREE]) {
    replaceState(vector, offset, CORE, core, sigma * sigma);
    replaceState(vector, offset, WALL, wall, 3 ** 2);
    replaceState(vector, offset, SENSOR, outlet ?? wall, 1);
    replaceState(vector, offset, SUN, kept?.sunWatts ?? 0, 2 ** 2);
    replaceState(vector, offset, NATURAL, 0, NATURAL_UNCERTAINTY ** 2);
  }
  const lnFlowVariance = Math.max(kept?.flowFactorUncertainty ?? 0, 0.03) ** 2;
  replaceState(vector, DRIVEN, LN_FLOW, lnFlow, lnFlowVariance);
  vector[SLOT.lnFlowAverage] = lnFlow;
  replaceState(vector, FREE, HEAT, 0, 30 ** 2);
  const bandIndex = model.bands.length > 0 ? 0 : -1;
  loadKappa(vector, bandIndex);
  const state: EstimatorState = {
    atSeconds: input.atSeconds,
    vector,
    compiled,
    bandIndex,
    lossFraction: worstLossFraction(model),
    driveKnown: false,
    fanStopped: stopped,
    surging: false,
    degraded: ["restarted"],
  };
  return state;
}

/** The state one cycle later. Pure: `state` is left as it was. */
export function advanceEstimator(model: Model, state: EstimatorState, input: EstimatorInput): EstimatorState {
  const dt = input.dtSeconds;
  if (dt > LONGEST_GAP_SECONDS) return beginEstimator(model, input, null);
  const compiled =
    state.compiled.model === model ? state.compiled : { model, box: boxConstantsOf(model), scratch: newScratch() };
  const vector = state.vector.slice();
  const degraded: Degradation[] = [];
  vector[SLOT.secondsSinceBegin]! += dt;
  if (vector[SLOT.secondsSinceBegin]! < 120) degraded.push("restarted");

  followInlet(vector, input, dt, degraded);
  const speed = followSpeed(model, vector, input, degraded);
  const stopped = speed === 0;
  if (stopped) degraded.push("fan stopped");

  // Drive, band and table loss.
  const watts = input.drive?.watts.value ?? null;
  const driveKnown = watts !== null;
  let { bandIndex, lossFraction } = state;
  if (driveKnown) {
    vector[SLOT.secondsWithoutDrive] = 0;
    const frequency = input.drive?.frequencyHertz ?? null;
    const at = frequency === null && watts < 1 ? bandIndex : bandIndexAt(model, frequency);
    if (at !== bandIndex) {
      if (!state.surging) storeKappa(vector, bandIndex);
      loadKappa(vector, at);
      bandIndex = at;
    }
    lossFraction = at >= 0 ? model.bands[at]!.lossFraction : worstLossFraction(model);
    if (!state.driveKnown && vector[SLOT.secondsSinceBegin]! > 60) restartDriven(vector);
  } else {
    vector[SLOT.secondsWithoutDrive]! += dt;
    degraded.push("drive unknown");
  }

  if (stopped && !state.fanStopped) holdFreeLoss(vector);

  // Near the Curie point the table's loss means nothing: κ may then run, and what was learned of it before is taken up again afterwards.
  const surging = surgeShare(vector[DRIVEN + CORE]!, model.collapse.celsius) > SURGING;
  if (surging && !state.surging) {
    storeKappa(vector, bandIndex);
    // The first of the surge was taken for vents closing.
    replaceState(vector, DRIVEN, LN_FLOW, vector[SLOT.lnFlowAverage]!, varianceOf(vector, DRIVEN, LN_FLOW));
  }
  if (!surging && state.surging) loadKappa(vector, bandIndex);

  // Prediction.
  const { scratch, box } = compiled;
  const inlet = vector[SLOT.inlet]!;
  const steps = Math.max(1, Math.ceil(dt / LONGEST_STEP_SECONDS));
  const h = dt / steps;
  const drivenSpeed = speed ?? BLIND_SPEED.driven;
  const freeSpeed = speed ?? BLIND_SPEED.free;
  for (let step = 0; step < steps && h > 0; step++) {
    const { noise } = scratch;
    noise[CORE] = NOISE.core * h;
    noise[WALL] = NOISE.wall * h;
    noise[SENSOR] = NOISE.sensor * h;
    noise[SUN] = NOISE.sun * h;
    if (driveKnown) {
      const hot = vector[DRIVEN + CORE]! - inlet > FLOW_LEARNING_RISE_KELVIN && !stopped;
      const surgeShareNow = surgeShare(vector[DRIVEN + CORE]!, model.collapse.celsius);
      noise[LN_FLOW] = hot ? NOISE.lnFlow * (1 - surgeShareNow) * h : 0;
      noise[HEAT] = (NOISE.lnKappa + NOISE.lnKappaSurging * surgeShareNow) * h;
      predictBranch(vector, DRIVEN, box, model.collapse, watts * lossFraction, inlet, drivenSpeed, h, scratch);
    }
    noise[LN_FLOW] = 0;
    noise[HEAT] = (stopped ? NOISE.lossWattsFanOff : NOISE.lossWatts) * h;
    predictBranch(vector, FREE, box, model.collapse, null, inlet, freeSpeed, h, scratch);
  }

  correct(vector, compiled, surging, input, driveKnown, bandIndex, stopped, degraded, dt);
  if (vector[FREE + HEAT]! < 0) vector[FREE + HEAT] = 0;

  if (driveKnown && surgeShare(vector[DRIVEN + CORE]!, model.collapse.celsius) < SURGE_AHEAD) {
    vector[SLOT.lnFlowAverage]! +=
      -Math.expm1(-dt / FLOW_AVERAGE_SECONDS) * (vector[DRIVEN + LN_FLOW]! - vector[SLOT.lnFlowAverage]!);
  }
  const drivenLoss = driveKnown
    ? watts * lossFraction * Math.exp(vector[DRIVEN + HEAT]!) * lossGrowth(model.collapse, vector[DRIVEN + CORE]!)
    : 0;
  const freeLoss = vector[FREE + HEAT]! * lossGrowth(model.collapse, vector[FREE + CORE]!);
  vector[SLOT.drivenLoss] = drivenLoss;
  vector[SLOT.freeLoss] = freeLoss;
  const bore = -Math.expm1(-dt / BORE_SECONDS);
  vector[SLOT.drivenBoreHeat]! += bore * (drivenLoss - vector[SLOT.drivenBoreHeat]!);
  vector[SLOT.freeBoreHeat]! += bore * (freeLoss - vector[SLOT.freeBoreHeat]!);
  followPace(vector, SLOT.drivenPace, driveKnown ? watts * lossFraction * Math.exp(vector[DRIVEN + HEAT]!) : 0, dt);
  followPace(vector, SLOT.freePace, vector[FREE + HEAT]!, dt);
  return {
    atSeconds: input.atSeconds,
    vector,
    compiled,
    bandIndex,
    lossFraction,
    driveKnown,
    fanStopped: stopped,
    surging,
    degraded,
  };
}

function correct(
  vector: Float64Array,
  compiled: Compiled,
  surging: boolean,
  input: EstimatorInput,
  driveKnown: boolean,
  bandIndex: number,
  stopped: boolean,
  degraded: Degradation[],
  dt: number,
): void {
  const { scratch } = compiled;
  const { mask, gain, row } = scratch;
  const inlet = vector[SLOT.inlet]!;
  const outlet = input.outlet;
  if (outlet === null || outlet.value === null) {
    vector[SLOT.secondsWithoutOutlet]! += dt;
    degraded.push("no outlet");
  } else {
    vector[SLOT.secondsWithoutOutlet] = 0;
    vector[SLOT.outletsSeen]! += 1;
  }
  if (vector[SLOT.secondsWithoutOutlet]! > 30 && vector[SLOT.secondsWithoutInlet]! > 30) degraded.push("no data");
  const outletVariance = OUTLET_VARIANCE + vector[SLOT.inletVariance]!;
  for (let branch = 0; branch < 2; branch++) {
    const offset = branch === 0 ? DRIVEN : FREE;
    if (offset === DRIVEN && !driveKnown) continue;
    const rise = vector[offset + CORE]! - inlet;
    mask.fill(1);
    mask[SUN] = rise < SUN_LEARNING_RISE_KELVIN ? 1 : 0;
    if (offset === DRIVEN) {
      mask[LN_FLOW] = rise > FLOW_LEARNING_RISE_KELVIN && !stopped && !surging ? 1 : 0;
      const known = bandIndex < 0 || (compiled.model.bands[bandIndex]?.kappaUncertainty ?? 1) < KAPPA_KNOWN;
      mask[HEAT] = known && !surging ? 0 : 1;
    } else {
      mask[LN_FLOW] = 0;
    }
    if (outlet !== null && outlet.value !== null) {
      const r = outletVariance * factorOf(outlet);
      if (stopped) {
        // Without a stream the sensor feels the air where it hangs and not the core: it is followed and believed nothing.
        replaceState(vector, offset, SENSOR, outlet.value, r);
      } else {
        const nis = correctWith(vector, offset, SENSOR, outlet.value, r, mask, gain, row);
        if ((offset === DRIVEN) === driveKnown) followNis(vector, nis, dt);
      }
    }
    if (input.wall !== null && input.wall.value !== null) {
      correctWith(vector, offset, WALL, input.wall.value, WALL_VARIANCE * factorOf(input.wall), mask, gain, row);
    }
    if (input.core !== null && input.core.value !== null) {
      correctWith(vector, offset, CORE, input.core.value, CORE_VARIANCE * factorOf(input.core), mask, gain, row);
    }
  }
}

const factorOf = (reading: Reading): number => (reading.quality === "suspect" ? SUSPECT_FACTOR : 1);

/** 0 well below the Curie point, 1 where the table's loss means nothing any more. */
function surgeShare(coreCelsius: number, collapseCelsius: number): number {
  return 1 / (1 + Math.exp((collapseCelsius - 20 - coreCelsius) / 4));
}

/** Speed over nominal; 0 = stands, null = not known. */
function speedRatioOf(model: Model, input: EstimatorInput): number | null {
  if (input.fan.turning === false) return 0;
  return input.fan.rpm === null ? null : input.fan.rpm / model.nominalRpm;
}

function followSpeed(
  model: Model,
  vector: Float64Array,
  input: EstimatorInput,
  degraded: Degradation[],
): number | null {
  const speed = speedRatioOf(model, input);
  if (speed === null) {
    degraded.push("no tach");
    if (vector[SLOT.savedLnFlowVariance]! < 0) {
      vector[SLOT.savedLnFlow] = vector[DRIVEN + LN_FLOW]!;
      vector[SLOT.savedLnFlowVariance] = varianceOf(vector, DRIVEN, LN_FLOW);
      replaceState(
        vector,
        DRIVEN,
        LN_FLOW,
        vector[DRIVEN + LN_FLOW]!,
        vector[SLOT.savedLnFlowVariance]! + BLIND_SPEED.lnVariance,
      );
    }
    return null;
  }
  if (vector[SLOT.savedLnFlowVariance]! >= 0) {
    replaceState(vector, DRIVEN, LN_FLOW, vector[SLOT.savedLnFlow]!, vector[SLOT.savedLnFlowVariance]! + 0.05 ** 2);
    vector[SLOT.savedLnFlowVariance] = -1;
  }
  vector[SLOT.speedRatio] = speed;
  return speed > 0.15 ? speed : 0;
}

function followInlet(vector: Float64Array, input: EstimatorInput, dt: number, degraded: Degradation[]): void {
  const ambient = input.ambient?.value ?? null;
  const reading = input.inlet?.value ?? null;
  if (reading !== null) {
    const share = vector[SLOT.secondsWithoutInlet]! > 0 ? 1 : -Math.expm1(-dt / INLET_SMOOTHING_SECONDS);
    vector[SLOT.inlet]! += share * (reading - vector[SLOT.inlet]!);
    vector[SLOT.inletVariance] = 0;
    vector[SLOT.secondsWithoutInlet] = 0;
    if (ambient !== null) {
      const gap = vector[SLOT.inlet]! - ambient;
      vector[SLOT.inletOverAmbient]! += -Math.expm1(-dt / 60) * (gap - vector[SLOT.inletOverAmbient]!);
    }
    return;
  }
  degraded.push("no inlet");
  vector[SLOT.secondsWithoutInlet]! += dt;
  const drift = vector[SLOT.secondsWithoutInlet]!;
  if (ambient !== null) {
    const wanted = ambient + vector[SLOT.inletOverAmbient]!;
    vector[SLOT.inlet]! += -Math.expm1(-dt / INLET_SMOOTHING_SECONDS) * (wanted - vector[SLOT.inlet]!);
    vector[SLOT.inletVariance] = Math.min(0.25 + drift * 0.001, 2.25);
  } else {
    vector[SLOT.inletVariance] = Math.min(0.25 + drift * 0.0025, 100);
  }
}

function followPace(vector: Float64Array, slot: number, heat: number, dt: number): void {
  const quiet = heat < QUIET_WATTS ? vector[slot + 2]! + dt : 0;
  vector[slot + 2] = quiet;
  if (quiet > QUIET_SECONDS) {
    vector[slot] = 0;
    vector[slot + 1] = 0;
    return;
  }
  const share = -Math.expm1(-dt / PACE_SECONDS);
  vector[slot + 1]! += share * (1 - vector[slot + 1]!);
  if (vector[slot + 1]! > 0) vector[slot]! += (share / vector[slot + 1]!) * (heat - vector[slot]!);
}

function followNis(vector: Float64Array, nis: number, dt: number): void {
  const share = -Math.expm1(-Math.max(dt, 1e-3) / NIS_SECONDS);
  vector[SLOT.nisWeight]! += share * (1 - vector[SLOT.nisWeight]!);
  vector[SLOT.nis]! += (share / vector[SLOT.nisWeight]!) * (nis - vector[SLOT.nis]!);
}

function worstLossFraction(model: Model): number {
  let worst = 0.05;
  for (const band of model.bands) worst = Math.max(worst, band.lossFraction);
  return worst;
}

function storeKappa(vector: Float64Array, bandIndex: number): void {
  if (bandIndex < 0) return;
  vector[BANDS_AT + 2 * bandIndex] = vector[DRIVEN + HEAT]!;
  vector[BANDS_AT + 2 * bandIndex + 1] = varianceOf(vector, DRIVEN, HEAT);
}

function loadKappa(vector: Float64Array, bandIndex: number): void {
  const lnKappa = bandIndex < 0 ? 0 : vector[BANDS_AT + 2 * bandIndex]!;
  const variance = bandIndex < 0 ? UNKNOWN_BAND_LN_VARIANCE : vector[BANDS_AT + 2 * bandIndex + 1]!;
  replaceState(vector, DRIVEN, HEAT, lnKappa, variance);
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

/** What to keep for the next start. */
export function checkpointOf(state: EstimatorState): EstimatorCheckpoint {
  const { vector, compiled } = state;
  const branch = state.driveKnown && vector[DRIVEN + CORE]! > vector[FREE + CORE]! ? DRIVEN : FREE;
  return {
    version: 1,
    atSeconds: state.atSeconds,
    coreCelsius: vector[branch + CORE]!,
    coreUncertaintyKelvin: Math.sqrt(varianceOf(vector, branch, CORE)),
    flowFactor: Math.exp(vector[DRIVEN + LN_FLOW]!),
    flowFactorUncertainty: Math.sqrt(varianceOf(vector, DRIVEN, LN_FLOW)),
    sunWatts: vector[DRIVEN + SUN]!,
    bands: compiled.model.bands.map((band, index) => {
      const current = index === state.bandIndex;
      return {
        band: band.band,
        lnKappa: current ? vector[DRIVEN + HEAT]! : vector[BANDS_AT + 2 * index]!,
        uncertainty: Math.sqrt(current ? varianceOf(vector, DRIVEN, HEAT) : vector[BANDS_AT + 2 * index + 1]!),
      };
    }),
  };
}

export { STATES };
