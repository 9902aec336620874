// One branch as the report sees it, and the upper bound on the hottest toroid that follows from it.
// The bound only ever adds: nothing here lowers a temperature.

import { type AirDrive, type BoxConstants, conductancesAt } from "../physics/box.ts";
import type { Collapse } from "../physics/collapse.ts";
import { CORE, LN_FLOW, NATURAL, SUN, WALL } from "./branch.ts";
import { varianceOf } from "./gaussian.ts";
import type { HotSpot, Model } from "./model.ts";
import { DRIVEN, type EstimatorState, SLOT } from "./state.ts";
import { BLIND_SPEED } from "./surroundings.ts";

/** Working point for which the model states its hot spot. */
const HOT_SPOT_WATTS = 70;
const HOT_SPOT_RISE_KELVIN = 80;
/** Toroids pass their Curie points one after the other; what that adds to the spread once the bound comes that near. */
const SURGE_SPREAD_KELVIN = 13;
const SURGE_AHEAD_KELVIN = 6;
const SURGE_WIDTH_KELVIN = 3;
/** What an unknown fan speed adds to ρ. */
const BLIND_RATIO = 0.1;

/** Everything the bound and the forecasts need of one branch. */
export type View = {
  readonly box: BoxConstants;
  readonly hotSpot: HotSpot;
  readonly collapse: Collapse;
  readonly coreCelsius: number;
  readonly wallCelsius: number;
  readonly inletCelsius: number;
  readonly sunWatts: number;
  readonly air: AirDrive;
  /** Variance of the core within the filter, with what a missing inlet adds, K². */
  readonly variance: number;
  /** ρ at this state of the fan. */
  readonly riseUncertaintyRatio: number;
  readonly lossWatts: number;
  readonly boreHeatWatts: number;
  readonly paceWatts: number;
};

/** Looks at the branch at `offset`. */
export function viewOf(model: Model, state: EstimatorState, offset: number): View {
  const { vector } = state;
  const driven = offset === DRIVEN;
  const blind = vector[SLOT.savedLnFlowVariance]! >= 0;
  const blindSpeed = driven ? BLIND_SPEED.driven : BLIND_SPEED.free;
  const air = {
    speedRatio: state.fanStopped ? 0 : blind ? blindSpeed : vector[SLOT.speedRatio]!,
    flowFactor: Math.exp(vector[offset + LN_FLOW]!),
    naturalFactor: Math.exp(vector[offset + NATURAL]!),
  };
  const coreCelsius = vector[offset + CORE]!;
  const wallCelsius = vector[offset + WALL]!;
  const inletCelsius = vector[SLOT.inlet]!;
  const { box } = state.compiled;
  let variance = varianceOf(vector, offset, CORE);
  const inletVariance = vector[SLOT.inletVariance]!;
  if (inletVariance > 0) {
    // The free branch divides the outlet's rise by the effectiveness, and with it the inlet's error.
    const g = conductancesAt(box, { coreCelsius, wallCelsius }, inletCelsius, { ...air, naturalFactor: 1 });
    const effectiveness = driven || g.stopped ? 1 : g.coreToAir / (g.coreToAir + g.airHeatFlow);
    variance += inletVariance / (effectiveness * effectiveness);
  }
  const ratio = state.fanStopped ? model.riseUncertaintyRatio.fanOff : model.riseUncertaintyRatio.fanOn;
  return {
    box,
    hotSpot: model.hotSpot,
    collapse: model.collapse,
    coreCelsius,
    wallCelsius,
    inletCelsius,
    sunWatts: vector[offset + SUN]!,
    air,
    variance,
    riseUncertaintyRatio: blind ? Math.hypot(ratio, BLIND_RATIO) : ratio,
    lossWatts: vector[driven ? SLOT.drivenLoss : SLOT.freeLoss]!,
    boreHeatWatts: vector[driven ? SLOT.drivenBoreHeat : SLOT.freeBoreHeat]!,
    paceWatts: vector[driven ? SLOT.drivenPace : SLOT.freePace]!,
  };
}

/** Standard uncertainty of the lumped core: the filter's and what the constants leave open, K. */
export function coreUncertainty(view: View, core: number): number {
  const open = view.riseUncertaintyRatio * (core - view.inletCelsius);
  return Math.sqrt(view.variance + open * open);
}

/**
 * The bound for a core at `core` with `heatWatts` of loss: mean + spread + 2u, u² = P + (ρ·rise)² + what is not known of the spread;
 * more once it comes near the Curie point.
 */
export function upperAt(view: View, core: number, heatWatts: number): number {
  const rise = Math.max(core - view.inletCelsius, 0);
  const share = 0.5 * (heatWatts / HOT_SPOT_WATTS + rise / HOT_SPOT_RISE_KELVIN);
  const spreadUncertainty = view.hotSpot.uncertaintyKelvin * share;
  const u = Math.hypot(coreUncertainty(view, core), spreadUncertainty);
  const calm = core + view.hotSpot.kelvin * share + 2 * u;
  const near = Math.exp((view.collapse.celsius - SURGE_AHEAD_KELVIN - calm) / SURGE_WIDTH_KELVIN);
  return calm + SURGE_SPREAD_KELVIN / (1 + near);
}

/** The bound now. */
export const upperNow = (view: View): number => upperAt(view, view.coreCelsius, view.boreHeatWatts);
