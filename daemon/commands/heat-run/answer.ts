// What a fit says, for people and for programs: each quantity with its uncertainty and how far the data moved it.
// Words and columns only; it computes nothing.

import type { FittedQuantity, HeatRunFit } from "../../core/estimate/fit.ts";
import { figure, wrapped } from "../figures.ts";

/** Pairs of quantities that the run could not tell apart well are named from here on. */
const NOTABLE_CORRELATION = 0.8;

const UNITS: readonly (readonly [suffix: string, unit: string])[] = [
  ["JoulesPerKelvin", "J/K"],
  ["WattsPerKelvin", "W/K"],
  ["Seconds", "s"],
];

/** `coreToAirWattsPerKelvin` → `core to air`, `W/K`; a loss factor has no unit. */
export function namedQuantity(name: string): { readonly words: string; readonly unit: string } {
  if (name.startsWith("kappa ")) return { words: `loss factor ${name.slice("kappa ".length)}`, unit: "" };
  const [suffix, unit] = UNITS.find(([end]) => name.endsWith(end)) ?? ["", ""];
  const words = name.slice(0, name.length - suffix.length).replace(/[A-Z]/g, (letter) => ` ${letter.toLowerCase()}`);
  return { words, unit };
}

/** How far the data moved a quantity, said plainly. */
export function movement({ identified, movedBy, leftOfPrior }: FittedQuantity): string {
  if (!identified) return "not moved by the data";
  const narrowed = `uncertainty down to ${Math.round(leftOfPrior * 100)} % of the prior's`;
  return `moved ${movedBy < 0 ? "down" : "up"} by ${figure(Math.abs(movedBy), 2)} of the prior's uncertainty; ${narrowed}`;
}

/** Pairs that move together, strongest first. */
export function notablePairs({ quantities, correlation }: HeatRunFit): readonly string[] {
  const pairs = quantities.flatMap((one, row) =>
    quantities
      .slice(0, row)
      .map((other, column) => ({ one: one.name, other: other.name, value: correlation[row]![column]! })),
  );
  return pairs
    .filter(({ value }) => Math.abs(value) >= NOTABLE_CORRELATION)
    .sort((a, b) => Math.abs(b.value) - Math.abs(a.value))
    .map(
      ({ one, other, value }) => `${namedQuantity(one).words} and ${namedQuantity(other).words} (${value.toFixed(2)})`,
    );
}

/** What the model is worth, in a sentence. */
export function worth({ model, spots, outletResidualKelvin }: HeatRunFit): string {
  const share = Math.round(100 * model.riseUncertaintyRatio.fanOn);
  return model.calibration === "calibrated"
    ? `Calibrated by ${spots.length} core reading${spots.length === 1 ? "" : "s"}: the core's rise is known to ${share} % (standard uncertainty, fan turning). The outlet is followed to ${figure(outletResidualKelvin, 2)} K.`
    : `Not calibrated: there was no core reading. The outlet is followed to ${figure(outletResidualKelvin, 2)} K, which proves nothing about the core; the bound stays wide. Repeat the run with a reading right after unkeying.`;
}

/** The answer as lines for a terminal. */
export function fitLines(fit: HeatRunFit, file: string): string[] {
  const rows = fit.quantities.map((quantity) => {
    const { words, unit } = namedQuantity(quantity.name);
    const value =
      `${figure(quantity.value)} ± ${figure(quantity.value * quantity.uncertaintyRatio, 2)} ${unit}`.trimEnd();
    return [words, value, movement(quantity)] as const;
  });
  const widths = [0, 1].map((column) => Math.max(...rows.map((row) => row[column]!.length)));
  const table = rows.map(
    ([words, value, moved]) => `${words.padEnd(widths[0]!)}  ${value.padEnd(widths[1]!)}  ${moved}`,
  );
  const spots = fit.spots.map(
    ({ atSeconds, celsius, fittedCelsius }) =>
      `core reading at ${figure(atSeconds, 6)} s: ${celsius.toFixed(1)} °C, fit ${fittedCelsius.toFixed(1)} °C`,
  );
  const pairs = notablePairs(fit);
  const together = pairs.length === 0 ? [] : ["", ...wrapped(`Known only together: ${pairs.join(", ")}.`)];
  return [
    ...wrapped(worth(fit)),
    "",
    ...table,
    ...(spots.length === 0 ? [] : ["", ...spots]),
    ...together,
    "",
    `Written to ${file}.`,
  ];
}

/** The answer for programs. */
export function fitJson(fit: HeatRunFit, file: string): object {
  return {
    calibration: fit.model.calibration,
    model_file: file,
    outlet_residual_kelvin: fit.outletResidualKelvin,
    rise_uncertainty_ratio: {
      fan_on: fit.model.riseUncertaintyRatio.fanOn,
      fan_off: fit.model.riseUncertaintyRatio.fanOff,
    },
    quantities: fit.quantities.map((quantity) => ({
      name: quantity.name,
      unit: namedQuantity(quantity.name).unit,
      value: quantity.value,
      standard_uncertainty: quantity.value * quantity.uncertaintyRatio,
      prior: quantity.prior,
      prior_standard_uncertainty: quantity.prior * quantity.priorUncertaintyRatio,
      moved_by: quantity.movedBy,
      left_of_prior: quantity.leftOfPrior,
      identified: quantity.identified,
    })),
    correlation: fit.correlation,
    spots: fit.spots.map(({ atSeconds, celsius, fittedCelsius }) => ({
      at_seconds: atSeconds,
      celsius,
      fitted_celsius: fittedCelsius,
    })),
  };
}
