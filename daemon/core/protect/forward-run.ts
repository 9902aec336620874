// The core by drive alone: the network run forward with clean vents, blind to every thermometer but the inlet's.
// An outlet that sticks or lies cannot draw it down. It is a witness with a margin, never an estimate.

import { bandIndexAt, type Model } from "../estimate/model.ts";
import { advanceBox, type BoxConstants } from "../physics/box.ts";
import type { Readings } from "../readings.ts";

export type ForwardRun = {
  readonly coreCelsius: number;
  readonly wallCelsius: number;
  readonly inletCelsius: number;
  readonly sinceSeconds: number;
};

/** So long after its beginning it may still fall from where it began to where it belongs, s. */
export const SETTLING_SECONDS = 600;

/** Longest step in which the network's conductances may stand still, s. */
const LONGEST_STEP_SECONDS = 30;
/** Beyond this the run is begun anew. */
const LONGEST_GAP_SECONDS = 600;
/** An infinite core helps nobody: the ferrite has long ceased to be one. */
const HOTTEST_CELSIUS = 400;

/** Loss fraction in the band of this frequency; where the band is not known, the worst. */
function lossFraction(model: Model, frequencyHertz: number | null): number {
  const band = model.bands[bandIndexAt(model, frequencyHertz)];
  if (band !== undefined) return band.lossFraction * band.kappa;
  let worst = 0;
  for (const { lossFraction, kappa } of model.bands) worst = Math.max(worst, lossFraction * kappa);
  return worst;
}

/**
 * The run one cycle later, `elapsed` seconds on. null while the drive is not known.
 * `turning` null = nobody can tell: then the air is taken as driven, because the fan's own vote covers the doubt.
 */
export function runForward(
  model: Model,
  box: BoxConstants,
  run: ForwardRun | null,
  readings: Readings,
  turning: boolean | null,
  coreCelsius: number | null,
  elapsed: number,
  nowSeconds: number,
): ForwardRun | null {
  const { drive, inlet, fan } = readings;
  const watts = drive === null ? null : drive.watts.value;
  if (drive === null || watts === null) return null;
  const inletNow = inlet === null ? null : inlet.value;
  if (run === null || elapsed > LONGEST_GAP_SECONDS) {
    if (coreCelsius === null || inletNow === null) return null;
    return { coreCelsius, wallCelsius: inletNow, inletCelsius: inletNow, sinceSeconds: nowSeconds };
  }
  const inletCelsius = inletNow ?? run.inletCelsius;
  const rpm = fan === null ? null : fan.rpm.value;
  const speedRatio = turning === false ? 0 : turning === null || rpm === null ? 1 : rpm / model.nominalRpm;
  const inputs = {
    inletCelsius,
    sunWatts: 0,
    lossWatts: Math.max(watts, 0) * lossFraction(model, drive.frequencyHertz),
  };
  const air = { speedRatio, flowFactor: 1 };
  const steps = Math.max(Math.ceil(elapsed / LONGEST_STEP_SECONDS), 1);
  let at = { coreCelsius: run.coreCelsius, wallCelsius: run.wallCelsius };
  for (let index = 0; index < steps; index += 1) at = advanceBox(box, at, inputs, air, elapsed / steps);
  return {
    coreCelsius: Math.min(at.coreCelsius, HOTTEST_CELSIUS),
    wallCelsius: at.wallCelsius,
    inletCelsius,
    sinceSeconds: run.sinceSeconds,
  };
}

/** How far the core has moved by drive between two cycles, K: while the run settles only what it has risen. */
export function movedKelvin(before: ForwardRun | null, after: ForwardRun | null, nowSeconds: number): number {
  if (before === null || after === null || before.sinceSeconds !== after.sinceSeconds) return 0;
  const kelvin = after.coreCelsius - before.coreCelsius;
  return nowSeconds - after.sinceSeconds > SETTLING_SECONDS ? kelvin : Math.max(kelvin, 0);
}
