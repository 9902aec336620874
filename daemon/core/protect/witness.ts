// The second witness of the core beside the filters: a probe, or the plain heat balance of what is measured this second.
// It remembers nothing and takes no part in the estimate, so that one error cannot hide in both.

import type { Model } from "../estimate/model.ts";
import { FILM_EXPONENT, STOPPED_SPEED_RATIO } from "../physics/box.ts";
import type { Reading, Readings } from "../readings.ts";

/** What the measured channel says of the core. */
export type Witness = {
  /** Core by probe, or by heat balance while the fan turns; null when neither can say. */
  readonly coreCelsius: number | null;
  /** A probe speaks for itself, a heat balance is given a margin. */
  readonly direct: boolean;
  /** Something is fitted that should speak and does not. */
  readonly bad: boolean;
};

/** Nothing is fitted, or nothing can be told with the fan stopped: neither a vote nor a fault. */
const SILENT: Witness = { coreCelsius: null, direct: false, bad: false };
const BROKEN: Witness = { coreCelsius: null, direct: false, bad: true };

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

/** What probe, inlet and outlet say now. `swapped`: there is evidence that inlet and outlet are exchanged. */
export function hearWitness(model: Model, readings: Readings, turning: boolean | null, swapped: boolean): Witness {
  const probe = value(readings.core);
  if (probe !== null) return { coreCelsius: probe, direct: true, bad: false };
  if (readings.outlet === null) return readings.core === null ? SILENT : BROKEN;
  const outlet = readings.outlet.value;
  const inlet = value(readings.inlet);
  if (outlet === null || (readings.inlet !== null && inlet === null) || swapped) return BROKEN;
  const rpm = readings.fan === null ? model.nominalRpm : readings.fan.rpm.value;
  if (inlet === null || rpm === null || turning === false) return SILENT;
  // A speed that is not believed carries no heat balance.
  if (turning === null && readings.fan !== null) return SILENT;
  const speedRatio = rpm / model.nominalRpm;
  if (speedRatio < STOPPED_SPEED_RATIO) return SILENT;
  return { coreCelsius: balanceCelsius(model, inlet, outlet, speedRatio), direct: false, bad: false };
}
