// Turns the estimator's state into an Estimate: the bound, headroom, sustainable drive.
// It reads the state and never changes it.

import { type AirDrive, type BoxConstants, conductancesAt } from "../physics/box.ts";
import type { Collapse } from "../physics/collapse.ts";
import { equilibrium, secondsUntil, steadyLossWatts } from "../physics/equilibrium.ts";
import { CORE, HEAT, LN_FLOW, SUN, WALL } from "./branch.ts";
import type { Estimate, Headroom } from "./estimate.ts";
import { varianceOf } from "./gaussian.ts";
import type { HotSpot, Model } from "./model.ts";
import { DRIVEN, type EstimatorState, FREE, SLOT } from "./state.ts";

const GAS_CONSTANT_DRY_AIR = 287.055;
const HEAT_CAPACITY_DRY_AIR = 1006;
/** Working point for which the model states its hot spot. */
const HOT_SPOT_WATTS = 70;
const HOT_SPOT_RISE_KELVIN = 80;
/** Toroids pass their Curie points one after the other: what that adds to the spread, standard uncertainty. */
const SURGE_SPREAD_KELVIN = 7;
/** What a core heats before the outlet can tell of a key-up that nobody announced. */
const UNSEEN_KEY_UP_KELVIN = 2.5;
const HORIZON_SECONDS = 4 * 3600;

/** Everything the bound needs of one branch. */
type View = {
  readonly box: BoxConstants;
  readonly coreCelsius: number;
  readonly wallCelsius: number;
  readonly inletCelsius: number;
  readonly sunWatts: number;
  readonly air: AirDrive;
  readonly variance: number;
  readonly ratio: number;
  readonly hotSpot: HotSpot;
  readonly collapse: Collapse;
  readonly lossWatts: number;
  readonly boreHeatWatts: number;
  readonly paceWatts: number;
};

/** What is believed of the core at this state; `limitCelsius` is the upper bound's limit. */
export function reportEstimate(
  model: Model,
  state: EstimatorState,
  limits: { readonly limitCelsius: number },
): Estimate {
  const { vector } = state;
  const free = viewOf(model, state, FREE);
  const driven = state.driveKnown ? viewOf(model, state, DRIVEN) : null;
  const freeUpper = upperOf(free) + (driven === null ? UNSEEN_KEY_UP_KELVIN : 0);
  const drivenUpper = driven === null ? Number.NEGATIVE_INFINITY : upperOf(driven);
  const freeSpeaks = driven === null || vector[SLOT.secondsWithoutOutlet]! < 60;
  const best = driven ?? free;
  const higher = driven === null || (freeSpeaks && freeUpper > drivenUpper) ? free : driven;
  const coreUpperCelsius = freeSpeaks ? Math.max(freeUpper, drivenUpper) : drivenUpper;
  const g = conductancesAt(
    best.box,
    best.coreCelsius,
    best.wallCelsius,
    best.inletCelsius,
    best.air.speedRatio,
    best.air.flowFactor,
  );
  const density = model.pressurePascals / (GAS_CONSTANT_DRY_AIR * (best.inletCelsius + 273.15));
  const lnFlowSigma = Math.sqrt(varianceOf(vector, DRIVEN, LN_FLOW));
  const flowFactor = Math.exp(vector[DRIVEN + LN_FLOW]!);
  return {
    coreCelsius: best.coreCelsius,
    coreUncertaintyKelvin: Math.sqrt(best.variance + (best.ratio * (best.coreCelsius - best.inletCelsius)) ** 2),
    coreUpperCelsius,
    wallCelsius: best.wallCelsius,
    lossWatts: best.lossWatts,
    airflowCubicMetersPerSecond: g.airHeatFlow / (density * HEAT_CAPACITY_DRY_AIR),
    flowFactor,
    flowFactorUncertainty: flowFactor * lnFlowSigma,
    lossFactor: driven === null ? null : Math.exp(vector[DRIVEN + HEAT]!),
    headroom: headroomOf(higher, coreUpperCelsius, limits.limitCelsius),
    sustainableWatts: driven === null || state.bandIndex < 0 ? null : sustainableOf(state, driven, limits.limitCelsius),
    disagreementKelvin: driven === null ? null : driven.coreCelsius - free.coreCelsius,
    innovationSquared: vector[SLOT.nisWeight]! > 0 ? vector[SLOT.nis]! : null,
    calibration: model.calibration,
    degraded: state.degraded,
    usable: !state.degraded.includes("no data") && (vector[SLOT.outletsSeen]! > 1 || driven !== null),
  };
}

function viewOf(model: Model, state: EstimatorState, offset: number): View {
  const { vector } = state;
  const driven = offset === DRIVEN;
  const noTach = vector[SLOT.savedLnFlowVariance]! >= 0;
  const speed = state.fanStopped ? 0 : noTach ? (driven ? 0.6 : 1) : vector[SLOT.speedRatio]!;
  const paceSlot = driven ? SLOT.drivenPace : SLOT.freePace;
  return {
    box: state.compiled.box,
    coreCelsius: vector[offset + CORE]!,
    wallCelsius: vector[offset + WALL]!,
    inletCelsius: vector[SLOT.inlet]!,
    sunWatts: vector[offset + SUN]!,
    air: { speedRatio: speed, flowFactor: Math.exp(vector[offset + LN_FLOW]!) },
    variance: varianceOf(vector, offset, CORE),
    ratio: state.fanStopped ? model.riseUncertaintyRatio.fanOff : model.riseUncertaintyRatio.fanOn,
    hotSpot: model.hotSpot,
    collapse: model.collapse,
    lossWatts: vector[driven ? SLOT.drivenLoss : SLOT.freeLoss]!,
    boreHeatWatts: vector[driven ? SLOT.drivenBoreHeat : SLOT.freeBoreHeat]!,
    paceWatts: vector[paceSlot]!,
  };
}

function upperOf(view: View): number {
  return upperAt(view, view.coreCelsius, view.boreHeatWatts);
}

/** The bound for a core at `core` with `heatWatts` of loss: mean + spread + 2u, u² = P + (ρ·rise)² + what is not known of the spread. */
function upperAt(view: View, core: number, heatWatts: number): number {
  const rise = Math.max(core - view.inletCelsius, 0);
  const share = 0.5 * (heatWatts / HOT_SPOT_WATTS + rise / HOT_SPOT_RISE_KELVIN);
  const surge = SURGE_SPREAD_KELVIN / (1 + Math.exp((view.collapse.celsius - 10 - core) / 4));
  const u2 = view.variance + (view.ratio * rise) ** 2 + (view.hotSpot.uncertaintyKelvin * share) ** 2 + surge * surge;
  return core + view.hotSpot.kelvin * share + 2 * Math.sqrt(u2);
}

function headroomOf(view: View, upper: number, limit: number): Headroom {
  if (upper >= limit) return { kind: "at limit" };
  const inputs = { inletCelsius: view.inletCelsius, sunWatts: view.sunWatts, lossWatts: view.paceWatts };
  const settled = equilibrium(view.box, inputs, view.air);
  const level = upperAt(view, settled.coreCelsius, view.paceWatts);
  if (level < limit) return { kind: "levels off", levelCelsius: level };
  const seconds = secondsUntil(
    view.box,
    view,
    inputs,
    view.air,
    HORIZON_SECONDS,
    (at) => upperAt(view, at.coreCelsius, view.paceWatts) >= limit,
  );
  return seconds === null ? { kind: "unknown" } : { kind: "reaches limit", seconds };
}

function sustainableOf(state: EstimatorState, view: View, limit: number): number {
  const kappa = Math.exp(state.vector[DRIVEN + HEAT]!);
  let loss = 50;
  let core = limit - 10;
  for (let pass = 0; pass < 6; pass++) {
    const margin = upperAt(view, core, loss) - core;
    core = limit - margin;
    loss = Math.max(0, steadyLossWatts(view.box, core, view.inletCelsius, view.sunWatts, view.air).lossWatts);
  }
  return loss / (kappa * state.lossFraction);
}
