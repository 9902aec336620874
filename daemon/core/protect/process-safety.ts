// The process safety time: full drive, fan stopped, from the trip point to the Curie point, worked out on the model's own network.
// It looks at no reading; one number for one program.

import { boxConstantsOf, type Model } from "../estimate/model.ts";
import { advanceBox, type BoxConstants } from "../physics/box.ts";
import { steadyLossWatts } from "../physics/equilibrium.ts";

/** A hot afternoon: the air that takes the least heat away. */
const HOT_AIR_CELSIUS = 40;
const STEP_SECONDS = 0.5;
/** Beyond this nobody has to hurry. */
const LONGEST_SECONDS = 3600;

const FAN_TURNING = { speedRatio: 1, flowFactor: 1 } as const;
const FAN_STOPPED = { speedRatio: 0, flowFactor: 1 } as const;

/**
 * Seconds from `tripCelsius` to `curieCelsius` at `fullDriveWatts` in the worst band, the fan stopped.
 * Heat capacity and loss each stand one standard uncertainty on the unsafe side. null = the core never gets there within an hour.
 */
export function processSafetySeconds(
  model: Model,
  fullDriveWatts: number,
  tripCelsius: number,
  curieCelsius: number,
): number | null {
  const central = boxConstantsOf(model);
  const box: BoxConstants = {
    ...central,
    coreHeatCapacityJoulesPerKelvin:
      central.coreHeatCapacityJoulesPerKelvin *
      Math.exp(-model.constants.coreHeatCapacityJoulesPerKelvin.uncertaintyRatio),
  };
  const worst = Math.max(
    0,
    ...model.bands.map((band) => band.lossFraction * band.kappa * Math.exp(band.kappaUncertainty)),
  );
  const inputs = { inletCelsius: HOT_AIR_CELSIUS, sunWatts: 0, lossWatts: fullDriveWatts * worst };
  const { wallCelsius } = steadyLossWatts(box, tripCelsius, HOT_AIR_CELSIUS, 0, FAN_TURNING);
  let at = { coreCelsius: tripCelsius, wallCelsius };
  for (let seconds = 0; seconds < LONGEST_SECONDS; seconds += STEP_SECONDS) {
    const before = at.coreCelsius;
    at = advanceBox(box, at, inputs, FAN_STOPPED, STEP_SECONDS);
    if (at.coreCelsius >= curieCelsius) {
      return seconds + (STEP_SECONDS * (curieCelsius - before)) / (at.coreCelsius - before);
    }
  }
  return null;
}
