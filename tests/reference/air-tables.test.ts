// Sources: Y. A. Çengel, Heat Transfer, table A-15 (air at 1 atm); F. P. Incropera, Fundamentals of Heat and Mass Transfer,
// table A.4 at 300 K (from memory).
import { describe, expect, it } from "vitest";
import { air } from "../../daemon/core/physics/air.ts";

describe("air tables of heat-transfer texts", () => {
  it.each([
    [25, 1.184, 1007, 0.02551, 1.562e-5, 0.7296],
    [50, 1.092, 1007, 0.02735, 1.798e-5, 0.7228],
    [100, 0.9458, 1009, 0.03095, 2.306e-5, 0.7111],
  ])("Çengel A-15 at %d °C", (celsius, density, heatCapacity, conductivity, viscosity, prandtl) => {
    const sample = air(celsius);
    expect(sample.densityKilogramsPerCubicMeter / density).toBeCloseTo(1, 2);
    expect(sample.heatCapacityJoulesPerKilogramKelvin / heatCapacity).toBeCloseTo(1, 2);
    // The texts differ among themselves by about 3 % in conductivity and Prandtl number.
    expect(Math.abs(sample.conductivityWattsPerMeterKelvin / conductivity - 1)).toBeLessThan(0.03);
    expect(Math.abs(sample.kinematicViscositySquareMetersPerSecond / viscosity - 1)).toBeLessThan(0.01);
    expect(Math.abs(sample.prandtl / prandtl - 1)).toBeLessThan(0.035);
  });

  it("Incropera A.4 at 300 K", () => {
    const sample = air(26.85);
    expect(sample.densityKilogramsPerCubicMeter / 1.1614).toBeCloseTo(1, 1);
    expect(Math.abs(sample.viscosityPascalSeconds / 184.6e-7 - 1)).toBeLessThan(0.01);
    expect(Math.abs(sample.kinematicViscositySquareMetersPerSecond / 15.89e-6 - 1)).toBeLessThan(0.02);
    expect(Math.abs(sample.conductivityWattsPerMeterKelvin / 26.3e-3 - 1)).toBeLessThan(0.01);
    expect(Math.abs((sample.prandtl * 1000) / 707 - 1)).toBeLessThan(0.01);
  });
});
