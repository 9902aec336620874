// The rating table: the largest drive each band, mode and air temperature bears without end, and what sets it.
// It reads a model and a transformer; it knows no present state and promises nothing the bound does not carry.

import { type BandLoss, boxConstantsOf, type Model } from "../estimate/model.ts";
import { air } from "./air.ts";
import type { AirDrive, BoxConstants } from "./box.ts";
import { lossGrowth } from "./collapse.ts";
import { ZERO_CELSIUS_KELVIN } from "./constants.ts";
import { nusseltHorizontalCylinder, radiationCoefficient, rayleigh } from "./convection.ts";
import { copperLoss, turnMeters, type Winding } from "./copper.ts";
import { steadyLossWatts } from "./equilibrium.ts";
import { type Core, coreLoss } from "./ferrite.ts";
import { LINE_OHMS } from "./load.ts";
import type { Mode } from "./modes.ts";
import { planBoundCelsius } from "./plan-bound.ts";
import { saturationTesla } from "./temperature.ts";

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

/** What does not change with the question: it travels to the page as JSON. */
export type RatingBasis = {
  readonly model: Model;
  readonly core: Core;
  /** null when the winding is not known: the wire then sets no limit. */
  readonly winding: Winding | null;
  readonly limitCelsius: number;
  /** Outlet air at which protection reduces the power whatever the model says. */
  readonly outletCelsius: number;
};

/** Everything a rating needs. */
export type RatingQuestion = RatingBasis & {
  readonly airCelsius: readonly number[];
  readonly modes: readonly Mode[];
  readonly fanTurning: boolean;
  /** Where the box stands and how it is aired, when not at the model's own pressure with fan and vents as new and no sun. */
  readonly surroundings?: Surroundings;
};

export type Surroundings = {
  readonly pressurePascals: number;
  readonly sunWatts: number;
  /** Of nominal speed, while the fan turns. */
  readonly speedRatio: number;
  /** 1 = clean vents. */
  readonly flowFactor: number;
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
  const box = boxOf(question);
  return airCelsius.flatMap((inlet) =>
    model.bands.flatMap((band) => modes.map((mode) => ratingRow(question, box, inlet, band, mode))),
  );
}

/** Forced convection goes with the 0.6th power of the air's mass flow, as it does with speed. */
const FORCED_POWER = 0.6;

/** The model's box in the air of another height: as much volume, less mass. */
function boxOf({ model, surroundings }: RatingQuestion): BoxConstants {
  const box = boxConstantsOf(model);
  const ratio = (surroundings?.pressurePascals ?? model.pressurePascals) / model.pressurePascals;
  if (ratio === 1) return box;
  return {
    ...box,
    airHeatFlowWattsPerKelvin: ratio * box.airHeatFlowWattsPerKelvin,
    airHeatFlowFanOffWattsPerKelvin: ratio * box.airHeatFlowFanOffWattsPerKelvin,
    coreToAirWattsPerKelvin: ratio ** FORCED_POWER * box.coreToAirWattsPerKelvin,
    airToWallWattsPerKelvin: ratio ** FORCED_POWER * box.airToWallWattsPerKelvin,
  };
}

const airDriveOf = ({ fanTurning, surroundings }: RatingQuestion): AirDrive => ({
  speedRatio: fanTurning ? (surroundings?.speedRatio ?? 1) : 0,
  flowFactor: surroundings?.flowFactor ?? 1,
});

/** Where the core settles with a drive, and its upper bound. */
export type Settled = { readonly coreCelsius: number; readonly upperCelsius: number };

/** The curve is not followed above this: no promise is made there. */
const HIGHEST_CELSIUS = 160;

/** Core under a steady `driveWatts` (peak) in this mode; null when it never settles: it runs away. */
export function settledCore(
  question: RatingQuestion,
  inletCelsius: number,
  band: BandLoss,
  mode: Mode,
  driveWatts: number,
): Settled | null {
  const { model, fanTurning } = question;
  const box = boxOf(question);
  const drive = airDriveOf(question);
  const cold = driveWatts * mode.duty * band.lossFraction * band.kappa;
  const sun = question.surroundings?.sunWatts ?? 0;
  const shed = (core: number): number => steadyLossWatts(box, core, inletCelsius, sun, drive).lossWatts;
  const lacking = (core: number): number => cold * lossGrowth(model.collapse, core) - shed(core);
  // The first crossing from below is where it settles; beyond the next one it would run away.
  let low = inletCelsius - 1;
  for (let core = low + 2; core <= HIGHEST_CELSIUS; core += 2) {
    if (lacking(core) > 0) {
      low = core;
      continue;
    }
    const coreCelsius = rising((at) => -lacking(at), 0, low, core);
    const loss = Math.max(shed(coreCelsius), 0);
    const bound = planBoundCelsius(model, band, coreCelsius, inletCelsius, loss, fanTurning);
    return { coreCelsius, upperCelsius: bound + ripple(mode, loss, box) };
  }
  return null;
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
  const { model, limitCelsius, outletCelsius, fanTurning, surroundings } = question;
  const drive = airDriveOf(question);
  const steady = (core: number) => steadyLossWatts(box, core, inlet, surroundings?.sunWatts ?? 0, drive);
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
