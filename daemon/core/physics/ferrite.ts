// The core at radio frequency: magnetising impedance, core loss, both loss fractions, flux density.
// It never knows temperature or cooling, and no loss it gives holds outside the mix's table.
import { type Complex, reciprocal } from "./complex.ts";
import { VACUUM_PERMEABILITY } from "./constants.ts";
import { type Load, MATCHED, voltsSquaredPerWatt } from "./load.ts";
import { type Mix, permeabilityAt, type TableGap } from "./mixes/mix.ts";
import { within } from "./physics-error.ts";
import { stackFactorMeters, type Toroid } from "./toroids.ts";

/** What is wound on what: one mix, stacked toroids, and the turns of the primary around all of them. */
export type Core = { readonly mix: Mix; readonly toroids: readonly Toroid[]; readonly primaryTurns: number };

/** Magnetising impedance of the primary in Ω, with the table gap it may bridge. */
export type MagnetisingImpedance = Complex & { readonly gap: TableGap | null };

/** Core loss at one drive. Bounds differ from the nominal figure only when a standing-wave ratio is all that is known. */
export type CoreLoss = {
  readonly lossWatts: number;
  readonly lowLossWatts: number;
  readonly highLossWatts: number;
  /**
   * Core loss over the power that core *and* wire together take from the line (they are one load of V²/P ohms):
   * P_core/drive.
   */
  readonly lossFraction: number;
  /**
   * The other meaning: the wire alone is the matched load and the core's loss comes on top; its share of the whole
   * input is then f/(1 + f). A figure quoted elsewhere may be either.
   */
  readonly lossFractionBesideLoad: number;
  /** Peak flux density averaged over the cross-section, T, of the ring that carries most; at the high bound of the load. */
  readonly fluxDensityTesla: number;
  /** The same at the bore of that ring, where the path is shortest, T. */
  readonly boreFluxDensityTesla: number;
  readonly primaryVolts: number;
  readonly impedanceOhms: Complex;
  readonly gap: TableGap | null;
};

/**
 * Z = jω·μ0·(μ′ − jμ″)·N²·ΣA_e/l_e, in Ω, of the primary with nothing connected to the secondary. The mix's table is
 * for 25 °C and small signals. Throws `OUT_OF_TABLE`, `OUT_OF_RANGE`.
 */
export function magnetisingImpedance(core: Core, frequencyHertz: number): MagnetisingImpedance {
  const turns = within("primary turns", core.primaryTurns, 1, 1000);
  within("number of toroids", core.toroids.length, 1, 100);
  const permeability = permeabilityAt(core.mix, frequencyHertz);
  const reactance =
    2 * Math.PI * frequencyHertz * VACUUM_PERMEABILITY * turns * turns * stackFactorMeters(core.toroids);
  return { real: reactance * permeability.imaginary, imaginary: reactance * permeability.real, gap: permeability.gap };
}

/**
 * Core loss and flux density for `driveWatts` at `frequencyHertz` into `load`. V² = drive·(V²/P); P_core = V²·Re(1/Z).
 * The fraction does not depend on the drive while the flux stays small. Throws `OUT_OF_TABLE`, `OUT_OF_RANGE`.
 */
export function coreLoss(core: Core, frequencyHertz: number, driveWatts: number, load: Load = MATCHED): CoreLoss {
  within("drive in watts", driveWatts, 0, 1e6);
  const impedance = magnetisingImpedance(core, frequencyHertz);
  const conductance = reciprocal(impedance).real;
  const resistance = voltsSquaredPerWatt(load);
  const lossFraction = resistance.nominal * conductance;
  const flux = fluxDensity(core, frequencyHertz, Math.sqrt(driveWatts * resistance.high));
  return {
    lossWatts: driveWatts * lossFraction,
    lowLossWatts: driveWatts * resistance.low * conductance,
    highLossWatts: driveWatts * resistance.high * conductance,
    lossFraction,
    lossFractionBesideLoad: besideLoad(lossFraction),
    fluxDensityTesla: flux.meanTesla,
    boreFluxDensityTesla: flux.boreTesla,
    primaryVolts: Math.sqrt(driveWatts * resistance.nominal),
    impedanceOhms: { real: impedance.real, imaginary: impedance.imaginary },
    gap: impedance.gap,
  };
}

/** f → f/(1 + f): from the share of what core and wire take together to the share when the wire alone is the load. */
export function besideLoad(lossFraction: number): number {
  return lossFraction / (1 + lossFraction);
}

/**
 * Peak flux density, T, for `primaryVolts` rms of a sine: the linkage √2·V/(ω·N) spread over the rings by 1/l_e
 * (Faraday's law; for equal rings this is √2·V/(ω·N·n·A_e)). The ring with the shortest path carries most; at its bore
 * the density is higher by l_e/(π·inside diameter).
 */
export function fluxDensity(
  core: Core,
  frequencyHertz: number,
  primaryVolts: number,
): { readonly meanTesla: number; readonly boreTesla: number } {
  const linkage = (Math.SQRT2 * primaryVolts) / (2 * Math.PI * frequencyHertz * core.primaryTurns);
  const fieldPerMeter = linkage / stackFactorMeters(core.toroids);
  let meanTesla = 0;
  let boreTesla = 0;
  for (const ring of core.toroids) {
    meanTesla = Math.max(meanTesla, fieldPerMeter / ring.pathMeters);
    boreTesla = Math.max(boreTesla, fieldPerMeter / (Math.PI * ring.insideDiameterMeters));
  }
  return { meanTesla, boreTesla };
}
