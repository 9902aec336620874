// What a simulated feedpoint box is made of: constants of the truth plant, nominal or drawn at random around it.
// Never the estimator's constants: those lump what stands here in pieces. Overall values were set to land in the ranges
// that geometry and trials give for a small plastic box with three 61 mm toroids and a small, fast fan.

import type { Random } from "./random.ts";

/** Bands of the loss factors, as the trade writes them. */
export const BANDS = ["160 m", "80 m", "60 m", "40 m", "30 m", "20 m", "17 m", "15 m", "12 m", "10 m"] as const;

/** Constants of one box. Conductances hold for the whole stack and are shared out over its toroids. */
export type PlantParameters = {
  /** Toroids standing one behind the other in the air stream. */
  readonly toroids: number;
  /** All ferrite together, J/K. */
  readonly ferriteHeatCapacity: number;
  /** Copper and insulation of both windings, J/K. */
  readonly windingHeatCapacity: number;
  /** The whole wall, J/K; half of it is the inner face, half the outer. */
  readonly wallHeatCapacity: number;
  /** Stack to the air at nominal flow, W/K. */
  readonly coreToAirFanOn: number;
  /** Heat flow rate of the air at nominal flow and 30 °C at the fan, W/K. */
  readonly airFlow: number;
  /** Part of the air that reaches the fan without touching the stack. */
  readonly bypassShare: number;
  /** Air to the wall's inner face at nominal flow, W/K. */
  readonly airToWallFanOn: number;
  /** Exponent of forced convection on flow. */
  readonly forcedExponent: number;
  /** Stack to the air by natural convection at 70 K difference, W/K. */
  readonly coreToAirFanOff: number;
  /** Air to the wall's inner face by natural convection at 30 K difference, W/K. */
  readonly airToWallFanOff: number;
  /** Buoyant flow through the vents when the box air is 30 K above the inlet, W/K. */
  readonly airFlowFanOff: number;
  /** Air that turns round inside the box by buoyancy when the stack is 70 K above it, W/K. */
  readonly circulation: number;
  /** Radiation stack to wall at 350 K, W/K. */
  readonly coreToWallRadiation: number;
  /** Through the wall's thickness, W/K. */
  readonly throughWall: number;
  /** Wall to outside air at 15 K difference, W/K, without radiation. */
  readonly wallConvection: number;
  /** Wall to surroundings by radiation at 300 K, W/K. */
  readonly wallRadiation: number;
  /** Between the bore half and the outside half of one toroid, W/K. */
  readonly boreToOutside: number;
  /** Between neighbouring toroids (tape and a thin air gap), W/K. */
  readonly toroidToToroid: number;
  /** Winding to all bores together, W/K. */
  readonly windingToBore: number;
  /** Part of a toroid's heat that arises in its bore half: the magnetic path is shorter there, so the flux is denser. */
  readonly boreLossShare: number;
  /** Part of all heat that arises in the copper. */
  readonly copperShare: number;
  /** Relative loss of each toroid, mean 1. */
  readonly toroidLossFactors: readonly number[];
  /** Outlet sensor's time constant at nominal flow, and with the fan stopped, s. */
  readonly sensorLagFanOnSeconds: number;
  readonly sensorLagFanOffSeconds: number;
  /** Where the permeability collapses. */
  readonly curieCelsius: number;
  /** Width of the collapse, K. */
  readonly curieWidthKelvin: number;
  /** Growth of the loss per kelvin far below the Curie point. */
  readonly lossSlopePerKelvin: number;
  /** How many times the loss grows by once the permeability has collapsed. */
  readonly collapseGain: number;
  /** True loss over the table's, per band; whoever sets the input's `lossFraction` multiplies by it. */
  readonly bandLossFactors: Readonly<Record<string, number>>;
};

/** How far drawn boxes stray: bands of loss and capacities as ± shares, the rest as factors either way. */
export type Spread = {
  readonly bandLoss: number;
  readonly heatCapacity: number;
  readonly conductanceFactor: number;
  readonly airFlowFactor: number;
};

/** The mismatches that the estimator is measured against. */
const TABLE_SPREAD: Spread = {
  bandLoss: 0.2,
  heatCapacity: 0.1,
  conductanceFactor: 1.4,
  airFlowFactor: 1.2,
};

/** The middle of everything. */
export function nominalPlant(): PlantParameters {
  return {
    toroids: 3,
    ferriteHeatCapacity: 241,
    windingHeatCapacity: 21,
    wallHeatCapacity: 210,
    coreToAirFanOn: 0.76,
    airFlow: 4.5,
    bypassShare: 0.1,
    airToWallFanOn: 0.32,
    forcedExponent: 0.6,
    coreToAirFanOff: 0.22,
    airToWallFanOff: 0.16,
    airFlowFanOff: 0.065,
    circulation: 0.6,
    coreToWallRadiation: 0.086,
    throughWall: 2.7,
    wallConvection: 0.25,
    wallRadiation: 0.24,
    boreToOutside: 0.8,
    toroidToToroid: 0.12,
    windingToBore: 1.2,
    boreLossShare: 0.56,
    copperShare: 0.06,
    toroidLossFactors: [1, 1, 1],
    sensorLagFanOnSeconds: 12,
    sensorLagFanOffSeconds: 60,
    curieCelsius: 142,
    curieWidthKelvin: 4,
    lossSlopePerKelvin: 0.0005,
    collapseGain: 3,
    bandLossFactors: Object.fromEntries(BANDS.map((band) => [band, 1])),
  };
}

/** A box nobody has measured: the nominal one with every constant drawn within `spread`. */
export function drawPlant(random: Random, spread: Spread = TABLE_SPREAD): PlantParameters {
  const nominal = nominalPlant();
  const within = (share: number): number => random.between(1 - share, 1 + share);
  const times = (factor: number): number => factor ** random.between(-1, 1);
  const between = (low: number, high: number): number => low * (high / low) ** random.unit();
  const conductance = (value: number): number => value * times(spread.conductanceFactor);
  const raw = nominal.toroidLossFactors.map(() => within(0.05));
  const mean = raw.reduce((sum, factor) => sum + factor, 0) / raw.length;
  return {
    ...nominal,
    ferriteHeatCapacity: nominal.ferriteHeatCapacity * within(spread.heatCapacity),
    windingHeatCapacity: nominal.windingHeatCapacity * within(spread.heatCapacity),
    wallHeatCapacity: nominal.wallHeatCapacity * within(spread.heatCapacity),
    coreToAirFanOn: conductance(nominal.coreToAirFanOn),
    airFlow: nominal.airFlow * times(spread.airFlowFactor),
    bypassShare: random.between(0.05, 0.15),
    airToWallFanOn: conductance(nominal.airToWallFanOn),
    forcedExponent: random.between(0.57, 0.63),
    coreToAirFanOff: conductance(nominal.coreToAirFanOff),
    airToWallFanOff: conductance(nominal.airToWallFanOff),
    airFlowFanOff: conductance(nominal.airFlowFanOff),
    circulation: conductance(nominal.circulation),
    coreToWallRadiation: conductance(nominal.coreToWallRadiation),
    throughWall: conductance(nominal.throughWall),
    wallConvection: conductance(nominal.wallConvection),
    wallRadiation: conductance(nominal.wallRadiation),
    boreToOutside: between(0.6, 1.15),
    toroidToToroid: between(0.06, 0.24),
    windingToBore: conductance(nominal.windingToBore),
    boreLossShare: random.between(0.52, 0.6),
    copperShare: random.between(0.03, 0.09),
    toroidLossFactors: raw.map((factor) => factor / mean),
    sensorLagFanOnSeconds: between(5, 20),
    sensorLagFanOffSeconds: between(30, 120),
    curieCelsius: random.between(132, 150),
    curieWidthKelvin: random.between(3, 6),
    lossSlopePerKelvin: random.between(0.0002, 0.0008),
    collapseGain: random.between(2, 4),
    bandLossFactors: Object.fromEntries(BANDS.map((band) => [band, within(spread.bandLoss)])),
  };
}
