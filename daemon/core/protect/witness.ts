// The second witness of the core beside the filters: a probe, and the hotter of two plain sums, the heat balance of what is
// measured this second and the run forward by drive alone. It takes no part in the estimate, so that one error cannot hide in both.

import type { Model } from "../estimate/model.ts";
import { FILM_EXPONENT, STOPPED_SPEED_RATIO } from "../physics/box.ts";
import type { Reading, Readings } from "../readings.ts";

/** What the measured channel says of the core. */
export type Witness = {
  /** Core by a probe or an operator's reading; null without one. */
  readonly probeCelsius: number | null;
  /** Core by the hotter of heat balance and forward run, which are given a margin; null when neither can say. */
  readonly sumCelsius: number | null;
  /** Something is fitted that should speak and does not. */
  readonly bad: boolean;
};

/**
 * Core over inlet from the outlet's rise with clean vents and the wall as warm as the air:
 * T_core = T_out + (T_out − T_in)·C/U, C and U at this speed. Clogged vents make it read high, which is the safe side.
 */
export function balanceCelsius(model: Model, inletCelsius: number, outletCelsius: number, speedRatio: number): number {
  const { airHeatFlowWattsPerKelvin: c, coreToAirWattsPerKelvin: u } = model.constants;
  const ratio = (c.value / u.value) * speedRatio ** (1 - FILM_EXPONENT);
  return outletCelsius + (outletCelsius - inletCelsius) * ratio;
}

const value = (reading: Reading | null): number | null => (reading === null ? null : reading.value);

function hotter(one: number | null, other: number | null): number | null {
  if (one === null || other === null) return one ?? other;
  return Math.max(one, other);
}

/** Core by the heat balance; null when the fan stands, when its speed is not believed, or without inlet and outlet. */
export function balanced(model: Model, readings: Readings, turning: boolean | null): number | null {
  const outlet = value(readings.outlet);
  const inlet = value(readings.inlet);
  const rpm = readings.fan === null ? model.nominalRpm : readings.fan.rpm.value;
  if (outlet === null || inlet === null || rpm === null || turning === false) return null;
  // A speed that is not believed carries no heat balance.
  if (turning === null && readings.fan !== null) return null;
  const speedRatio = rpm / model.nominalRpm;
  return speedRatio < STOPPED_SPEED_RATIO ? null : balanceCelsius(model, inlet, outlet, speedRatio);
}

/**
 * What probe, inlet, outlet and drive say now. `runCelsius`: the run forward by drive alone.
 * `swapped`: there is evidence that inlet and outlet are exchanged.
 */
export function hearWitness(
  model: Model,
  readings: Readings,
  turning: boolean | null,
  swapped: boolean,
  runCelsius: number | null,
): Witness {
  const probeCelsius = value(readings.core);
  const { inlet, outlet } = readings;
  if (outlet === null) {
    return { probeCelsius, sumCelsius: runCelsius, bad: probeCelsius === null && readings.core !== null };
  }
  const broken = outlet.value === null || (inlet !== null && inlet.value === null) || swapped;
  // A probe that fell off reads cold: it may add a vote, but it silences nobody.
  const sumCelsius = broken ? runCelsius : hotter(balanced(model, readings, turning), runCelsius);
  return { probeCelsius, sumCelsius, bad: broken && probeCelsius === null };
}
