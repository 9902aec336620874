// The rating table: the largest drive each band, mode and air temperature bears without end, and what sets it.
// It reads a model and a transformer; it knows no present state and promises nothing the bound does not carry.

import { air } from "../physics/air.ts";
import type { AirDrive, BoxConstants } from "../physics/box.ts";
import { lossGrowth } from "../physics/collapse.ts";
import { ZERO_CELSIUS_KELVIN } from "../physics/constants.ts";
import { nusseltHorizontalCylinder, radiationCoefficient, rayleigh } from "../physics/convection.ts";
import { copperLoss, turnMeters, type Winding } from "../physics/copper.ts";
import { steadyLossWatts } from "../physics/equilibrium.ts";
import { type Core, coreLoss } from "../physics/ferrite.ts";
import { LINE_OHMS } from "../physics/load.ts";
import type { Mode } from "../physics/modes.ts";
import { saturationTesla } from "../physics/temperature.ts";
import { type BandLoss, boxConstantsOf, type Model } from "./model.ts";
import { planBoundCelsius } from "./plan-bound.ts";

/**
 * What sets a rating. `fan`: the air leaves too warm. `air`: it enters too warm to leave any room. `runaway`: the loss
 * grows faster with the core's temperature than what the box sheds.
 */
export type LimitedBy = "core" | "flux" | "wire" | "fan" | "air" | "runaway";

/** One row: watts of peak envelope power (carrier power for AM), sent in this mode without a pause between overs. */
export type RatingRow = {
  readonly band: string;
  readonly mode: string;
  readonly airCelsius: number;
  readonly sustainableWatts: number;
  readonly lossFraction: number;
  readonly limitedBy: LimitedBy;
};

/** Everything a rating needs. */
export type RatingQuestion = {
  readonly model: Model;
  readonly core: Core;
  /** null when the winding is not known: the wire then sets no limit. */
  readonly winding: Winding | null;
  readonly limitCelsius: number;
  /** Outlet air at which protection reduces the power whatever the model says. */
  readonly outletCelsius: number;
  readonly airCelsius: readonly number[];
  readonly modes: readonly Mode[];
  readonly fanTurning: boolean;
};

// The tables are for small signals: beyond this share of saturation no loss of theirs holds (our choice).
const FLUX_SHARE = 0.2;
// Enamel of the lowest class in common use is good for this (IEC 60085 class B).
const ENAMEL_CELSIUS = 130;
const WIRE_FREE_SHARE = 0.5;
const WIRE_EMISSIVITY = 0.8;
// Heat may come this near to the most the box can settle with: beyond that the core runs away.
const RUNAWAY_SHARE = 0.9;
const SCAN_STEPS = 60;
const BISECTIONS = 40;

/** Rows by air temperature, band, mode, in the order given. */
export function ratingTable(question: RatingQuestion): RatingRow[] {
  const { model, airCelsius, modes } = question;
  const box = boxConstantsOf(model);
  return airCelsius.flatMap((inlet) =>
    model.bands.flatMap((band) => modes.map((mode) => ratingRow(question, box, inlet, band, mode))),
  );
}

function ratingRow(question: RatingQuestion, box: BoxConstants, inlet: number, band: BandLoss, mode: Mode): RatingRow {
  const lossFraction = band.lossFraction * band.kappa;
  const row = { band: band.band, mode: mode.name, airCelsius: inlet, lossFraction };
  const heat = sustainableHeat(question, box, inlet, band, mode);
  if (heat === null) return { ...row, sustainableWatts: 0, limitedBy: "air" };
  const candidates: [LimitedBy, number][] = [
    [heat.limitedBy, heat.watts / (lossFraction * mode.duty)],
    ["flux", fluxWatts(question, band)],
    ["wire", wireWatts(question, band, heat.airCelsius) / mode.duty],
  ];
  const [limitedBy, sustainableWatts] = candidates.reduce((least, next) => (next[1] < least[1] ? next : least));
  return { ...row, sustainableWatts, limitedBy };
}

/**
 * Average heat, as of a cold core, at which the upper bound settles at the limit, or the outlet air at its own; null when
 * air and uncertainty leave no room. The bound: mean + hot spot + 2u, u from the model's rise uncertainty, the loss factor
 * and the spread; plus half the ripple of a mode that sends and pauses.
 */
function sustainableHeat(
  question: RatingQuestion,
  box: BoxConstants,
  inlet: number,
  band: BandLoss,
  mode: Mode,
): { readonly watts: number; readonly airCelsius: number; readonly limitedBy: "core" | "fan" | "runaway" } | null {
  const { model, limitCelsius, outletCelsius, fanTurning } = question;
  const drive: AirDrive = { speedRatio: fanTurning ? 1 : 0, flowFactor: 1 };
  const steady = (core: number) => steadyLossWatts(box, core, inlet, 0, drive);
  const upper = (core: number): number => {
    const loss = Math.max(steady(core).lossWatts, 0);
    return planBoundCelsius(model, band, core, inlet, loss, fanTurning) + ripple(mode, loss, box);
  };
  if (upper(inlet) >= limitCelsius || inlet >= outletCelsius) return null;
  const atLimit = rising(upper, limitCelsius, inlet, limitCelsius);
  const atOutlet = rising((core) => steady(core).airCelsius, outletCelsius, inlet, limitCelsius);
  const core = Math.min(atLimit, atOutlet);
  // Heat as of a cold core that settles at a temperature. Where this falls again on the way up, no heat near its top is safe.
  const settlingAt = (at: number): number => steady(at).lossWatts / lossGrowth(model.collapse, at);
  const watts = settlingAt(core);
  let most = 0;
  for (let step = 1; step <= SCAN_STEPS; step++)
    most = Math.max(most, settlingAt(inlet + (step / SCAN_STEPS) * (core - inlet)));
  const { airCelsius } = steady(core);
  if (watts < most * (1 - 1e-9))
    return { watts: Math.min(watts, RUNAWAY_SHARE * most), airCelsius, limitedBy: "runaway" };
  return { watts, airCelsius, limitedBy: atOutlet < atLimit ? "fan" : "core" };
}

/** Half the swing of the core between sending and pausing, K. */
function ripple(mode: Mode, averageLossWatts: number, box: BoxConstants): number {
  if (mode.onSeconds === 0) return 0;
  const sending = averageLossWatts / mode.duty;
  return (sending * (1 - mode.duty) * mode.onSeconds) / (2 * box.coreHeatCapacityJoulesPerKelvin);
}

/** Where the rising function reaches `wanted` between low and high; high when it does not. */
function rising(of: (at: number) => number, wanted: number, low: number, high: number): number {
  if (of(high) < wanted) return high;
  let below = low;
  let above = high;
  for (let step = 0; step < BISECTIONS; step++) {
    const middle = (below + above) / 2;
    if (of(middle) < wanted) below = middle;
    else above = middle;
  }
  return below;
}

/** Peak drive at which the flux at the bore reaches its share of what saturates the ferrite at the limit. */
function fluxWatts({ core, limitCelsius }: RatingQuestion, band: BandLoss): number {
  const saturation = saturationTesla(core.mix, limitCelsius);
  if (saturation === null) return Number.POSITIVE_INFINITY;
  // Flux is largest at the low edge; the core's table reaches a band's centre at least.
  const hertz = Math.max(band.lowHertz, core.mix.permeabilityPoints[0]![0]);
  const perRoot = coreLoss(core, hertz, 1).boreFluxDensityTesla;
  return ((FLUX_SHARE * saturation) / perRoot) ** 2;
}

/**
 * Average drive at which the primary's wire reaches the end of its enamel: half of its round sheds heat to the air that
 * leaves the box, by natural convection and radiation only; the half that lies on the ferrite is taken to pass nothing.
 */
function wireWatts({ core, winding }: RatingQuestion, band: BandLoss, airCelsius: number): number {
  if (winding === null) return Number.POSITIVE_INFINITY;
  const over = ENAMEL_CELSIUS - airCelsius;
  const diameter = winding.wireDiameterMeters;
  const film = air((ENAMEL_CELSIUS + airCelsius) / 2);
  const nusselt = nusseltHorizontalCylinder(
    rayleigh(over, film.celsius + ZERO_CELSIUS_KELVIN, diameter, film),
    film.prandtl,
  );
  const coefficient =
    (nusselt * film.conductivityWattsPerMeterKelvin) / diameter +
    radiationCoefficient(WIRE_EMISSIVITY, ENAMEL_CELSIUS, airCelsius);
  const length = winding.primaryTurns * turnMeters(core.toroids, diameter) + winding.leadMeters;
  const shed = coefficient * Math.PI * diameter * WIRE_FREE_SHARE * length * over;
  const centre = (band.lowHertz + band.highHertz) / 2;
  return shed / copperLoss(winding, core.toroids, centre, 1, LINE_OHMS, ENAMEL_CELSIUS).primaryWatts;
}
