// Mix 52 (NiZn), numeric facts published by its maker Fair-Rite, read from the open data set OpenMagnetics/MAS,
// data/core_materials.ndjson, commit 0512b026 of 2025-04-27 (BSD 4-Clause then, Apache-2.0 since). Small signal, 25 °C.
// Corrected reading: in that file the complex curves of this maker stand under the wrong material names (the curves
// sorted by number were written onto records in file order); the curve of 52 is the one found under "97".
// The evidence for that correction is good here. Curie temperature is the sheet's lower limit (from memory); the
// resistivity is second-hand; the density is one round value. No μ″ against temperature.
// No points between 0.96 and 3 MHz (the 160 m band lies there): answers in between say that they bridge a gap.
import type { Mix } from "./mix.ts";

/** Fair-Rite mix 52 as published; a real core may differ by 20 % and more. */
export const MIX_52: Mix = {
  name: "52",
  source: "Fair-Rite 52 data sheet by way of OpenMagnetics/MAS 0512b026 (Apache-2.0), curve names corrected",
  curieCelsius: 250,
  densityKilogramsPerCubicMeter: 4800,
  resistivityOhmMeters: 10_000_000,
  saturationTeslaAt25Celsius: 0.4,
  saturationTeslaAt100Celsius: 0.35,
  initialPermeability: 250,
  // The data set states no unit; percent per kelvin is inferred from its size.
  temperatureCoefficientPerKelvin: 0.008,
  initialPermeabilityPoints: [],
  permeabilityPoints: [
    [500_000, 265.73, 2.74],
    [666_000, 265.54, 2.83],
    [800_000, 265.36, 2.87],
    [960_000, 265.25, 3.01],
    [3_000_000, 268.44, 5.62],
    [5_000_000, 293.51, 18.88],
    [5_290_000, 290.76, 24.42],
    [5_740_000, 295.23, 33.27],
    [6_190_000, 298.26, 43.8],
    [6_640_000, 299.66, 55.65],
    [7_160_000, 298.92, 70.27],
    [7_770_000, 295.43, 87.04],
    [8_380_000, 288.51, 103.16],
    [8_990_000, 278.83, 117.07],
    [9_690_000, 265.16, 129.99],
    [10_500_000, 249.12, 139.81],
    [11_300_000, 233.44, 145.57],
    [12_200_000, 217.14, 148.73],
    [13_200_000, 200.97, 149.32],
    [14_200_000, 186.96, 148.17],
    [15_300_000, 174.9, 145.94],
    [16_500_000, 162.89, 142.49],
    [17_900_000, 151.28, 137.95],
    [19_300_000, 141.63, 133.21],
    [20_700_000, 133.64, 128.53],
    [22_300_000, 126.05, 123.35],
    [24_100_000, 119.14, 118.07],
    [25_900_000, 113.54, 113.46],
    [28_000_000, 108.44, 108.87],
    [30_400_000, 103.41, 104.39],
    [32_700_000, 99.3, 100.66],
    [35_100_000, 95.63, 97.55],
    [37_900_000, 91.73, 94.55],
    [41_100_000, 87.85, 91.53],
    [44_300_000, 84.32, 89.01],
    [47_500_000, 81.03, 86.86],
    [51_300_000, 77.51, 84.65],
    [55_500_000, 73.9, 82.51],
    [59_600_000, 70.58, 80.63],
    [64_300_000, 67.17, 78.73],
  ],
};
