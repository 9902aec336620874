// Turns the estimator's state into an Estimate: the higher of the two bounds, headroom, sustainable drive, and what was missing.
// It reads the state and never changes it.

import { conductancesAt } from "../physics/box.ts";
import { coreUncertainty, upperNow, type View, viewOf } from "./bound.ts";
import { HEAT, LN_FLOW } from "./branch.ts";
import type { Estimate, Headroom } from "./estimate.ts";
import { varianceOf } from "./gaussian.ts";
import { headroomOf, sustainableLossWatts } from "./headroom.ts";
import type { Model } from "./model.ts";
import { DRIVEN, type EstimatorState, FREE, SLOT } from "./state.ts";

/** The bound may not pass this, °C: of the hottest toroid. */
export type EstimateLimits = { readonly limitCelsius: number };

/** Dry air, J/(kg·K). */
const GAS_CONSTANT = 287.055;
const HEAT_CAPACITY = 1006;
const ICE_POINT_KELVIN = 273.15;
/** What a core heats before the outlet can tell of a key-up that nobody announced, or not in full, K. */
const UNSEEN_KEY_UP_KELVIN = 2.5;
/** Without an outlet for longer than this the free branch has nothing to say beside a known drive, s. */
const SILENT_SECONDS = 60;
/** An estimate that may hold the relay needs an inlet and an outlet, or the drive, as recent as this, s. */
const RECENT_INLET_SECONDS = 60;
const RECENT_OUTLET_SECONDS = 30;
const SETTLING_SECONDS = 3;

/** What is believed of the core at this state. */
export function reportEstimate(model: Model, state: EstimatorState, limits: EstimateLimits): Estimate {
  const { vector } = state;
  const free = viewOf(model, state, FREE);
  const driven = state.driveKnown ? viewOf(model, state, DRIVEN) : null;
  const announced = driven !== null && !state.driveSuspect;
  const freeUpper = upperNow(free) + (announced ? 0 : UNSEEN_KEY_UP_KELVIN);
  const drivenUpper = driven === null ? Number.NEGATIVE_INFINITY : upperNow(driven);
  const freeSpeaks = driven === null || vector[SLOT.secondsWithoutOutlet]! < SILENT_SECONDS;
  const best = driven ?? free;
  const higher = driven === null || (freeSpeaks && freeUpper > drivenUpper) ? free : driven;
  const coreUpperCelsius = freeSpeaks ? Math.max(freeUpper, drivenUpper) : drivenUpper;
  const { box, coreCelsius, wallCelsius, inletCelsius, air } = best;
  const g = conductancesAt(box, best, inletCelsius, air);
  const density = model.pressurePascals / (GAS_CONSTANT * (inletCelsius + ICE_POINT_KELVIN));
  const flowFactor = Math.exp(vector[DRIVEN + LN_FLOW]!);
  const limit = limits.limitCelsius;
  const paceWatts = Math.max(free.paceWatts, driven?.paceWatts ?? 0);
  return {
    coreCelsius,
    coreUncertaintyKelvin: coreUncertainty(best, coreCelsius),
    coreUpperCelsius,
    wallCelsius,
    lossWatts: best.lossWatts,
    airflowCubicMetersPerSecond: g.airHeatFlow / (density * HEAT_CAPACITY),
    flowFactor,
    flowFactorUncertainty: flowFactor * Math.sqrt(varianceOf(vector, DRIVEN, LN_FLOW)),
    lossFactor: driven === null ? null : Math.exp(vector[DRIVEN + HEAT]!),
    headroom:
      coreUpperCelsius >= limit
        ? { kind: "at limit" }
        : state.degraded.includes("restarted")
          ? youngHeadroom(higher, Math.max(paceWatts, higher.lossWatts), limit)
          : headroomOf(higher, paceWatts, limit),
    sustainableWatts:
      driven === null || state.bandIndex < 0
        ? null
        : sustainableLossWatts(driven, limit) / (Math.exp(vector[DRIVEN + HEAT]!) * state.lossFraction),
    disagreementKelvin: driven === null || !freeSpeaks ? null : coreCelsius - free.coreCelsius,
    innovationSquared: vector[SLOT.nisWeight]! > 0 ? vector[SLOT.nis]! : null,
    calibration: model.calibration,
    degraded: state.degraded,
    usable: isUsable(state),
  };
}

/**
 * Headroom while the pace is an average over moments that may all have been a pause: the heat now counts where it is more, and that the
 * core levels off below the limit is not said yet.
 */
function youngHeadroom(view: View, paceWatts: number, limit: number): Headroom {
  const headroom = headroomOf(view, paceWatts, limit);
  return headroom.kind === "levels off" ? { kind: "unknown" } : headroom;
}

function isUsable(state: EstimatorState): boolean {
  const { vector } = state;
  if (state.degraded.includes("no data")) return false;
  if (vector[SLOT.secondsWithoutInlet]! > RECENT_INLET_SECONDS && vector[SLOT.inletVariance]! > 9) return false;
  if (vector[SLOT.secondsSinceBegin]! < SETTLING_SECONDS) return false;
  const outletRecent = vector[SLOT.outletsSeen]! > 1 && vector[SLOT.secondsWithoutOutlet]! < RECENT_OUTLET_SECONDS;
  return outletRecent || state.driveKnown;
}
