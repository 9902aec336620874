// Source: US Standard Atmosphere 1976 (NOAA-S/T 76-1562), table I by geopotential altitude; ISO 2533 has the same figures.
// Viscosity and conductivity at sea level from its text: 1.7894e-5 Pa·s, 0.025326 W/(m·K) (from memory).
import { describe, expect, it } from "vitest";
import { air, pressureAtAltitudePascals } from "../../daemon/core/physics/air.ts";

describe("US Standard Atmosphere 1976", () => {
  it.each([
    [0, 101_325, 1.225],
    [500, 95_460.8, 1.1673],
    [1000, 89_874.6, 1.1116],
    [1500, 84_556.0, 1.0581],
    [2000, 79_495.2, 1.0065],
    [3000, 70_108.5, 0.9091],
  ])("has at %d m %d Pa and %d kg/m³", (altitude, pascals, density) => {
    expect(pressureAtAltitudePascals(altitude)).toBeCloseTo(pascals, 0);
    // Its air is 15 °C at sea level and 6.5 K a kilometre colder above.
    const sample = air(15 - 6.5e-3 * altitude, 0, pressureAtAltitudePascals(altitude));
    // The handbook gas constant (287.042) and that of the standard (287.053) differ by 40 ppm.
    expect(sample.densityKilogramsPerCubicMeter).toBeCloseTo(density, 3);
  });

  it("has viscosity and conductivity at 15 °C", () => {
    expect(air(15).viscosityPascalSeconds * 1e5).toBeCloseTo(1.7894, 4);
    expect(air(15).conductivityWattsPerMeterKelvin).toBeCloseTo(0.025326, 5);
  });
});
