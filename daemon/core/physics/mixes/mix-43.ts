// Mix 43 (NiZn), numeric facts published by its maker Fair-Rite, read from the open data set OpenMagnetics/MAS,
// data/core_materials.ndjson, commit 0512b026 of 2025-04-27 (BSD 4-Clause then, Apache-2.0 since). Small signal, 25 °C.
// Corrected reading: in that file the complex curves of this maker stand under the wrong material names (the curves
// sorted by number were written onto records in file order); the curve of 43 is the one found under "78".
// The evidence for that correction is strong here. Curie temperature is the sheet's lower limit (second-hand); the
// resistivity is second-hand; the density is one round value. No μ″ against temperature.
import type { Mix } from "./mix.ts";

/** Fair-Rite mix 43 as published; a real core may differ by 20 % and more. */
export const MIX_43: Mix = {
  name: "43",
  source: "Fair-Rite 43 data sheet by way of OpenMagnetics/MAS 0512b026 (Apache-2.0), curve names corrected",
  curieCelsius: 130,
  densityKilogramsPerCubicMeter: 4800,
  resistivityOhmMeters: 1000,
  saturationTeslaAt25Celsius: 0.35,
  saturationTeslaAt100Celsius: 0.25,
  initialPermeability: 800,
  // The data set states no unit; percent per kelvin is inferred from its size.
  temperatureCoefficientPerKelvin: 0.0125,
  initialPermeabilityPoints: [],
  permeabilityPoints: [
    [300_000, 790.6, 10.9],
    [548_000, 795.1, 17.9],
    [700_000, 787.8, 24.9],
    [1_000_000, 747.1, 62.8],
    [1_170_000, 713.5, 83],
    [1_360_000, 673.6, 107.3],
    [1_600_000, 637.4, 131.6],
    [1_840_000, 608.7, 155.2],
    [2_150_000, 572.3, 176.3],
    [2_500_000, 544.2, 194.4],
    [2_920_000, 513.4, 208.9],
    [3_400_000, 480.6, 219.6],
    [3_960_000, 446.9, 226.8],
    [4_620_000, 413.5, 230.6],
    [5_380_000, 380.8, 231.5],
    [6_270_000, 349.2, 230.3],
    [7_310_000, 318.9, 227.4],
    [8_510_000, 289.8, 223.5],
    [9_920_000, 261.7, 218.7],
    [11_600_000, 234.3, 212.7],
    [13_500_000, 207.7, 205.8],
    [15_700_000, 182, 197.6],
    [18_300_000, 157.5, 188.2],
    [21_300_000, 134.6, 177.5],
    [24_800_000, 113.8, 165.8],
    [28_900_000, 94.9, 153.5],
    [33_700_000, 78.7, 140.9],
    [39_300_000, 64.2, 128.3],
    [45_800_000, 51.9, 116],
    [53_400_000, 41.5, 104.2],
    [62_200_000, 32.8, 92.9],
  ],
};
