// Mix 31 (MnZn), numeric facts published by its maker Fair-Rite, read from the open data set OpenMagnetics/MAS,
// data/core_materials.ndjson, commit 0512b026 of 2025-04-27 (BSD 4-Clause then, Apache-2.0 since). Small signal, 25 °C.
// Corrected reading: in that file the complex curves of this maker stand under the wrong material names (the curves
// sorted by number were written onto records in file order); the curve of 31 is the one found under "77".
// The evidence for that correction is good here. Curie temperature is the sheet's lower limit (from memory); the
// resistivity is second-hand; the density is one round value. No μ″ against temperature.
import type { Mix } from "./mix.ts";

/** Fair-Rite mix 31 as published; a real core may differ by 20 % and more. */
export const MIX_31: Mix = {
  name: "31",
  source: "Fair-Rite 31 data sheet by way of OpenMagnetics/MAS 0512b026 (Apache-2.0), curve names corrected",
  curieCelsius: 130,
  densityKilogramsPerCubicMeter: 4800,
  resistivityOhmMeters: 30,
  saturationTeslaAt25Celsius: 0.35,
  saturationTeslaAt100Celsius: 0.21,
  initialPermeability: 1500,
  // The data set states no unit; percent per kelvin is inferred from its size.
  temperatureCoefficientPerKelvin: 0.013,
  initialPermeabilityPoints: [],
  permeabilityPoints: [
    [500_000, 1390.55, 183.07],
    [600_000, 1396.46, 228.68],
    [640_000, 1392.65, 248.07],
    [667_000, 1390.14, 260.16],
    [800_000, 1463.65, 345.99],
    [960_000, 1409.68, 444.47],
    [1_000_000, 1400.65, 463.22],
    [2_000_000, 980.76, 734.77],
    [2_330_000, 854.67, 752.33],
    [2_680_000, 757.67, 728.33],
    [3_090_000, 668.67, 696.33],
    [3_560_000, 590, 657.67],
    [4_090_000, 520.67, 616],
    [4_710_000, 460.33, 571.33],
    [5_430_000, 409, 527],
    [6_250_000, 365.67, 484.33],
    [7_200_000, 329, 444.33],
    [8_290_000, 299, 408.33],
    [9_540_000, 272, 375.33],
    [11_000_000, 248, 346.67],
    [12_600_000, 227, 321.67],
    [14_600_000, 206, 299],
    [16_800_000, 187, 278.67],
    [19_300_000, 168, 260],
    [22_200_000, 149.6667, 242.3333],
    [25_600_000, 132.3333, 226.3333],
    [29_500_000, 115.6667, 210.3333],
    [33_900_000, 100.7, 195],
    [39_100_000, 86.2, 180],
    [45_000_000, 73.3333, 165.3333],
    [51_800_000, 61.8, 151.6667],
    [59_600_000, 51.2667, 138.6667],
    [68_700_000, 43, 130],
  ],
};
