// Round copper wire: gauge → diameter, resistance at direct current, drop along a pair. Skin effect is in copper.ts.
// It never judges whether a wire is good enough.
import { within } from "./physics-error.ts";

/** Annealed copper at 20 °C, Ω·m (IACS 100 %: 1/58 Ω·mm²/m, IEC 60028). */
const COPPER_OHM_METERS = 1 / 58e6;

/** Change of that resistance with temperature at 20 °C, 1/K (IEC 60028). */
const COPPER_COEFFICIENT_PER_KELVIN = 0.00393;

/**
 * Diameter of American wire gauge `gauge`, m: 0.127 mm · 92^((36 − n)/39) (ASTM B258). 0 is 1/0, −1 is 2/0, −3 is 4/0.
 * Throws `OUT_OF_RANGE` outside −3 … 50.
 */
export function awgDiameterMeters(gauge: number): number {
  within("wire gauge", gauge, -3, 50);
  return 0.127e-3 * 92 ** ((36 - gauge) / 39);
}

/** Resistivity of copper at `celsius`, Ω·m; linear, good from −50 to 200 °C. */
export function copperResistivityOhmMeters(celsius: number): number {
  within("copper temperature in Celsius", celsius, -100, 300);
  return COPPER_OHM_METERS * (1 + COPPER_COEFFICIENT_PER_KELVIN * (celsius - 20));
}

/** Direct-current resistance of one solid round conductor, Ω/m. Stranded wire of the same gauge is a few per cent higher. */
export function wireOhmsPerMeter(diameterMeters: number, celsius: number): number {
  within("wire diameter in m", diameterMeters, 1e-6, 0.1);
  return copperResistivityOhmMeters(celsius) / ((Math.PI / 4) * diameterMeters * diameterMeters);
}

/** What a supply line does to the voltage at its far end. */
export type WireDrop = {
  /** Both conductors, there and back. */
  readonly resistanceOhms: number;
  readonly dropVolts: number;
  readonly farVolts: number;
};

/**
 * Drop along a two-conductor line; `lengthMeters` is one way. The far voltage may come out negative: such a line cannot
 * carry the current at all, and the caller says so.
 */
export function wireDrop(line: {
  readonly diameterMeters: number;
  readonly lengthMeters: number;
  readonly currentAmperes: number;
  readonly supplyVolts: number;
  readonly celsius: number;
}): WireDrop {
  within("line length in m", line.lengthMeters, 0, 100_000);
  within("current in A", line.currentAmperes, 0, 10_000);
  const resistanceOhms = 2 * line.lengthMeters * wireOhmsPerMeter(line.diameterMeters, line.celsius);
  const dropVolts = resistanceOhms * line.currentAmperes;
  return { resistanceOhms, dropVolts, farVolts: line.supplyVolts - dropVolts };
}
