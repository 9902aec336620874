// Air by altitude and humidity, dew point: directions, limits, inverses. Figures against the outside are in tests/reference.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { air, pressureAtAltitudePascals, saturationPressurePascals } from "../../../daemon/core/physics/air.ts";
import { dewPointCelsius } from "../../../daemon/core/physics/dew-point.ts";

const celsius = fc.double({ min: -40, max: 60, noNaN: true });
const humidity = fc.double({ min: 0.02, max: 1, noNaN: true });

describe("air", () => {
  it("is lighter when warm, humid or high", () => {
    fc.assert(
      fc.property(celsius, humidity, fc.double({ min: 10, max: 5000, noNaN: true }), (at, wet, meters) => {
        const base = air(at, wet).densityKilogramsPerCubicMeter;
        expect(air(at + 1, wet).densityKilogramsPerCubicMeter).toBeLessThan(base);
        expect(air(at, 0).densityKilogramsPerCubicMeter).toBeGreaterThan(base);
        expect(air(at, wet, pressureAtAltitudePascals(meters)).densityKilogramsPerCubicMeter).toBeLessThan(base);
      }),
    );
  });

  it("carries more heat per kilogram when humid", () => {
    expect(air(35, 1).heatCapacityJoulesPerKilogramKelvin).toBeGreaterThan(
      air(35, 0).heatCapacityJoulesPerKilogramKelvin,
    );
    expect(air(35).heatCapacityJoulesPerKilogramKelvin).toBe(1006);
  });

  it("has one saturation curve that rises through the triple point", () => {
    expect(saturationPressurePascals(0.011) / saturationPressurePascals(0.009)).toBeCloseTo(1, 3);
    fc.assert(
      fc.property(fc.double({ min: -99, max: 198, noNaN: true }), (at) => {
        expect(saturationPressurePascals(at + 1)).toBeGreaterThan(saturationPressurePascals(at));
      }),
    );
  });

  it("refuses humidities, temperatures and heights that cannot be", () => {
    expect(() => air(20, 1.2)).toThrow("relative humidity");
    expect(() => air(20, 80)).toThrow("relative humidity");
    expect(() => air(-300)).toThrow("air temperature");
    expect(() => air(Number.NaN)).toThrow("air temperature");
    expect(() => pressureAtAltitudePascals(20_000)).toThrow("altitude");
    expect(() => dewPointCelsius(20, 0)).toThrow("vapour pressure");
  });
});

describe("dew point", () => {
  it("is the temperature at which the same vapour saturates, never above the air", () => {
    fc.assert(
      fc.property(celsius, humidity, (at, wet) => {
        const dew = dewPointCelsius(at, wet);
        expect(dew).toBeLessThanOrEqual(at + 1e-9);
        expect(saturationPressurePascals(dew) / (wet * saturationPressurePascals(at))).toBeCloseTo(1, 9);
      }),
    );
  });
});
