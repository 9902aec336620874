// The model of one feedpoint: constants of the box with their standard uncertainties, and the loss of each band.
// Plain data that survives JSON; it holds no measurement and decides nothing.

import type { BoxConstants } from "../physics/box.ts";
import { type Collapse, TYPICAL_COLLAPSE } from "../physics/collapse.ts";
import type { Calibration } from "./estimate.ts";

/** A positive constant; `uncertaintyRatio` is the standard uncertainty of its logarithm. */
export type Constant = { readonly value: number; readonly uncertaintyRatio: number };

export type ConstantName = keyof BoxConstants;

/** Loss of one band. `kappa` scales the table's loss fraction (1 = as the table says); its uncertainty is that of ln κ. */
export type BandLoss = {
  /** As the trade writes it, e.g. `80 m`. */
  readonly band: string;
  readonly lowHertz: number;
  readonly highHertz: number;
  /** Core loss plus copper loss over drive, from the ferrite table. */
  readonly lossFraction: number;
  readonly kappa: number;
  readonly kappaUncertainty: number;
};

/**
 * How far the hottest toroid stands above the lumped core, stated for 70 W of loss settled at 80 K above the inlet. Half of it goes
 * with the loss (the bore is heated more and cooled less), half with the rise (the toroid last in the stream sits in the warmest air).
 */
export type HotSpot = { readonly kelvin: number; readonly uncertaintyKelvin: number };

export type Model = {
  readonly version: 1;
  readonly calibration: Calibration;
  /** Where the constants come from, in words: `geometry and data sheets`, or the heat run's name. */
  readonly origin: string;
  readonly nominalRpm: number;
  /** Air pressure at the site, for turning heat flow into airflow. */
  readonly pressurePascals: number;
  readonly constants: { readonly [name in ConstantName]: Constant };
  readonly bands: readonly BandLoss[];
  readonly hotSpot: HotSpot;
  /** Where the loss surges because the permeability collapses. */
  readonly collapse: Collapse;
  /** Share of the core's rise that the constants leave uncertain (ρ), fan turning and fan stopped. */
  readonly riseUncertaintyRatio: { readonly fanOn: number; readonly fanOff: number };
};

/** What geometry, table and installer know before any heat run. */
export type ModelOptions = {
  readonly bands: readonly { band: string; lowHertz: number; highHertz: number; lossFraction: number }[];
  readonly nominalRpm: number;
  /** Scales the heat capacity of three stacked 61 mm toroids; 1 for these. */
  readonly coreMassRatio?: number;
  readonly pressurePascals?: number;
  readonly collapse?: Collapse;
};

/** 5th percentile, median and 95th percentile of each constant over honest ranges of geometry and material. */
const PRIORS: { readonly [name in ConstantName]: readonly [number, number, number] } = {
  coreHeatCapacityJoulesPerKelvin: [236, 262, 288],
  wallHeatCapacityJoulesPerKelvin: [170, 210, 260],
  coreToAirWattsPerKelvin: [0.59, 0.82, 1.28],
  airHeatFlowWattsPerKelvin: [3.45, 4.27, 5.16],
  airToWallWattsPerKelvin: [0.25, 0.34, 0.46],
  wallToOutsideWattsPerKelvin: [0.32, 0.42, 0.51],
  coreToWallWattsPerKelvin: [0.064, 0.086, 0.11],
  coreToAirFanOffWattsPerKelvin: [0.13, 0.2, 0.3],
  airToWallFanOffWattsPerKelvin: [0.12, 0.19, 0.28],
  airHeatFlowFanOffWattsPerKelvin: [0.05, 0.08, 0.13],
  outletLagSeconds: [5, 12, 20],
  outletLagFanOffSeconds: [30, 60, 120],
};

export const CONSTANT_NAMES = Object.keys(PRIORS) as readonly ConstantName[];

/** 5th to 95th percentile of a normal variable, in standard deviations. */
const NINETY_PERCENT_SPAN = 3.2897;

/** Ferrite tables are ±20 % and real cores of one mix differ as much. */
const TABLE_KAPPA_UNCERTAINTY = 0.15;

function prior(name: ConstantName, scale: number): Constant {
  const [low, median, high] = PRIORS[name];
  return { value: median * scale, uncertaintyRatio: Math.log(high / low) / NINETY_PERCENT_SPAN };
}

/**
 * A model standing on geometry and tables alone: never calibrated.
 * @throws RangeError when an option is not a positive number or a band's edges are crossed.
 */
export function modelFromPriors(options: ModelOptions): Model {
  const massRatio = options.coreMassRatio ?? 1;
  const pressurePascals = options.pressurePascals ?? 101325;
  requirePositive("nominalRpm", options.nominalRpm);
  requirePositive("coreMassRatio", massRatio);
  requirePositive("pressurePascals", pressurePascals);
  const bands = options.bands.map((band): BandLoss => {
    requirePositive(`${band.band} lossFraction`, band.lossFraction);
    requirePositive(`${band.band} lowHertz`, band.lowHertz);
    if (!(band.highHertz > band.lowHertz)) {
      throw new RangeError(`${band.band} highHertz: expected more than ${band.lowHertz}, got ${band.highHertz}`);
    }
    return { ...band, kappa: 1, kappaUncertainty: TABLE_KAPPA_UNCERTAINTY };
  });
  const constants = Object.fromEntries(
    CONSTANT_NAMES.map((name) => [name, prior(name, name === "coreHeatCapacityJoulesPerKelvin" ? massRatio : 1)]),
  ) as { [name in ConstantName]: Constant };
  return {
    version: 1,
    calibration: "not calibrated",
    origin: "geometry and tables",
    nominalRpm: options.nominalRpm,
    pressurePascals,
    constants,
    bands,
    collapse: options.collapse ?? TYPICAL_COLLAPSE,
    hotSpot: { kelvin: 5, uncertaintyKelvin: 1.5 },
    riseUncertaintyRatio: { fanOn: 0.3, fanOff: 0.3 },
  };
}

function requirePositive(name: string, value: number): void {
  if (!(value > 0) || !Number.isFinite(value)) {
    throw new RangeError(`${name}: expected a positive number, got ${value}`);
  }
}

/** The constants' best values, without their uncertainties. */
export function boxConstantsOf(model: Model): BoxConstants {
  return Object.fromEntries(CONSTANT_NAMES.map((name) => [name, model.constants[name].value])) as {
    [name in ConstantName]: number;
  };
}

/** Index into `model.bands` of the band holding this frequency, −1 when none does. */
export function bandIndexAt(model: Model, frequencyHertz: number | null): number {
  if (frequencyHertz === null) return -1;
  return model.bands.findIndex((band) => frequencyHertz >= band.lowHertz && frequencyHertz <= band.highHertz);
}
