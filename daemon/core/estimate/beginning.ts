// How the estimator begins: worked back from the outlet with a wide uncertainty, never cold because nothing is remembered.

import { conductancesAt } from "../physics/box.ts";
import { CORE, HEAT, LN_FLOW, NATURAL, newScratch, SENSOR, SUN, WALL } from "./branch.ts";
import type { Resumption } from "./checkpoint.ts";
import { replaceState } from "./gaussian.ts";
import type { EstimatorInput } from "./input.ts";
import { loadKappa, lossFractionOf } from "./kappa.ts";
import { boxConstantsOf, type Model } from "./model.ts";
import { BANDS_AT, type Compiled, DRIVEN, type EstimatorState, FREE, SLOT, vectorLength } from "./state.ts";
import { speedRatioOf } from "./surroundings.ts";

/** Standard uncertainty of a core temperature worked back from the outlet alone, K. */
const RESTART_UNCERTAINTY_KELVIN = 12;
/** The same when the fan stands: the outlet then says next to nothing. */
const STOPPED_RESTART_UNCERTAINTY_KELVIN = 25;
/** Rise assumed when there is no outlet to work back from, and its uncertainty. */
const BLIND_RISE_KELVIN = 60;
const BLIND_RISE_UNCERTAINTY_KELVIN = 30;
/** Air assumed before any thermometer has spoken. */
const BLIND_AIR_CELSIUS = 25;
const BLIND_AIR_VARIANCE = 10 ** 2;
/** Share of the core's rise that still air in the box shows. */
const STILL_AIR_SHARE = 0.25;
const WALL_VARIANCE = 3 ** 2;
const SENSOR_VARIANCE = 1;
const SUN_VARIANCE = 2 ** 2;
const LOSS_VARIANCE = 30 ** 2;
/** ln φ after a heat run, standard uncertainty. */
const LN_FLOW_UNCERTAINTY = 0.03;
/** Draught and the wall's film err beside the core's film: what they add to its uncertainty, as a factor. */
const NATURAL_UNCERTAINTY_FACTOR = 1.2;
const LEAST_NATURAL_UNCERTAINTY = 0.05;

/** Works out what a model needs worked out once. */
export const compile = (model: Model): Compiled => ({ model, box: boxConstantsOf(model), scratch: newScratch() });

/**
 * A state to begin from. The core is worked back from the outlet, T_in + (T_out − T_in)/ε, σ 12 K; a checkpoint gives κ, φ and sun, and
 * a core temperature below which it does not begin: how long the box cooled meanwhile, and whether it did, nobody has seen.
 */
export function beginEstimator(model: Model, input: EstimatorInput, resumption: Resumption | null): EstimatorState {
  const compiled = compile(model);
  const vector = new Float64Array(vectorLength(model));
  const kept = resumption?.checkpoint ?? null;
  model.bands.forEach((band, index) => {
    const remembered = kept?.bands.find((one) => one.band === band.band);
    vector[BANDS_AT + 2 * index] = remembered?.lnKappa ?? Math.log(band.kappa);
    vector[BANDS_AT + 2 * index + 1] = (remembered?.uncertainty ?? band.kappaUncertainty) ** 2;
  });
  const inlet = input.inlet?.value ?? input.ambient?.value ?? null;
  const outlet = input.outlet?.value ?? null;
  const speed = speedRatioOf(model, input);
  const base = inlet ?? BLIND_AIR_CELSIUS;
  const lnFlow = Math.log(kept?.flowFactor ?? 1);
  vector[SLOT.inlet] = base;
  vector[SLOT.inletVariance] = inlet === null ? BLIND_AIR_VARIANCE : 0;
  vector[SLOT.savedLnFlowVariance] = -1;
  vector[SLOT.speedRatio] = speed ?? 1;
  vector[SLOT.secondsWithoutCore] = Number.MAX_SAFE_INTEGER;

  let core = base + BLIND_RISE_KELVIN;
  let sigma = BLIND_RISE_UNCERTAINTY_KELVIN;
  if (outlet !== null && inlet !== null) {
    const rise = Math.max(outlet - inlet, 0);
    const warm = { coreCelsius: base + 60, wallCelsius: base + 10 };
    const g = conductancesAt(compiled.box, warm, base, { speedRatio: speed ?? 1, flowFactor: Math.exp(lnFlow) });
    core = base + rise / (speed === 0 ? STILL_AIR_SHARE : g.coreToAir / (g.airHeatFlow + g.coreToAir));
    sigma = speed === 0 ? STOPPED_RESTART_UNCERTAINTY_KELVIN : RESTART_UNCERTAINTY_KELVIN;
  }
  if (kept !== null && kept.coreCelsius > core) core = kept.coreCelsius;
  if (kept !== null && kept.coreUncertaintyKelvin > sigma) sigma = kept.coreUncertaintyKelvin;
  const wall = input.wall?.value ?? outlet ?? base;
  const natural = Math.max(
    LEAST_NATURAL_UNCERTAINTY,
    NATURAL_UNCERTAINTY_FACTOR * model.constants.coreToAirFanOffWattsPerKelvin.uncertaintyRatio,
  );
  for (const offset of [DRIVEN, FREE]) {
    replaceState(vector, offset, CORE, core, sigma * sigma);
    replaceState(vector, offset, WALL, wall, WALL_VARIANCE);
    replaceState(vector, offset, SENSOR, outlet ?? wall, SENSOR_VARIANCE);
    replaceState(vector, offset, SUN, input.sunWatts ?? kept?.sunWatts ?? 0, SUN_VARIANCE);
    replaceState(vector, offset, NATURAL, 0, natural * natural);
  }
  const lnFlowUncertainty = Math.max(kept?.flowFactorUncertainty ?? 0, LN_FLOW_UNCERTAINTY);
  replaceState(vector, DRIVEN, LN_FLOW, lnFlow, lnFlowUncertainty ** 2);
  replaceState(vector, FREE, HEAT, 0, LOSS_VARIANCE);
  const bandIndex = model.bands.length > 0 ? 0 : -1;
  loadKappa(vector, bandIndex);
  return {
    atSeconds: input.atSeconds,
    vector,
    compiled,
    bandIndex,
    lossFraction: lossFractionOf(model, bandIndex),
    driveKnown: false,
    driveSuspect: false,
    fanStopped: speed === 0,
    surging: false,
    degraded: ["restarted"],
  };
}
