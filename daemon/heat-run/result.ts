// The result of a heat run beside the model in use, for the page. It renames and compares; the fit is made elsewhere.

import type { HeatRunFit } from "../core/estimate/fit.ts";
import type { ConstantName, Model } from "../core/estimate/model.ts";
import type { WireHeatRunResult } from "../wire/heat-run.ts";

/** The fit in the page's words. */
export function resultOf(fit: HeatRunFit, inUse: Model): WireHeatRunResult {
  return {
    calibration: fit.model.calibration,
    outlet_residual_kelvin: fit.outletResidualKelvin,
    rise_uncertainty_ratio: fit.model.riseUncertaintyRatio.fanOn,
    in_use_rise_uncertainty_ratio: inUse.riseUncertaintyRatio.fanOn,
    quantities: fit.quantities.map(({ name, value, uncertaintyRatio, identified }) => ({
      name,
      unit: unitOf(name),
      in_use: valueIn(inUse, name),
      value,
      standard_uncertainty: value * uncertaintyRatio,
      identified,
    })),
    spots: fit.spots.map(({ atSeconds, celsius, fittedCelsius }) => ({
      at_seconds: atSeconds,
      celsius,
      fitted_celsius: fittedCelsius,
    })),
  };
}

function unitOf(name: string): string {
  if (name.endsWith("JoulesPerKelvin")) return "J/K";
  if (name.endsWith("WattsPerKelvin")) return "W/K";
  return name.endsWith("Seconds") ? "s" : "";
}

function valueIn(model: Model, name: string): number {
  if (name.startsWith("kappa ")) return model.bands.find(({ band }) => name === `kappa ${band}`)?.kappa ?? 1;
  return model.constants[name as ConstantName].value;
}
