// Source: psychrolib 1.1.1 (MIT), an independent implementation of ASHRAE Fundamentals 2017, chapter 1.
// Dew point 25 °C 80 % is printed in its documentation as 21.309397163661785 °C.
import psychrolib from "psychrolib";
import { beforeAll, describe, expect, it } from "vitest";
import { air, pressureAtAltitudePascals, saturationPressurePascals } from "../../daemon/core/physics/air.ts";
import { dewPointCelsius } from "../../daemon/core/physics/dew-point.ts";

beforeAll(() => psychrolib.SetUnitSystem(psychrolib.SI));

const AIRS = [-30, -5, 0, 0.005, 5, 20, 25, 35, 50].flatMap((celsius) =>
  [0.05, 0.3, 0.8, 0.99].map((humidity) => [celsius, humidity] as const),
);

describe("psychrolib", () => {
  it("has the same saturation pressure over ice and water", () => {
    for (const celsius of [-90, -40, -20, -1, 0, 0.01, 1, 5, 25, 50, 99, 150]) {
      expect(saturationPressurePascals(celsius) / psychrolib.GetSatVapPres(celsius)).toBeCloseTo(1, 9);
    }
  });

  it("has the values that its own tests hold against table 3 of the handbook to 300 ppm", () => {
    // 2017 ASHRAE Handbook, chapter 1, table 3, at 5, 25 and 50 °C, as that library's own tests quote it (from memory).
    expect(saturationPressurePascals(5) / 872.6).toBeCloseTo(1, 3);
    expect(saturationPressurePascals(25) / 3169.7).toBeCloseTo(1, 3);
    expect(saturationPressurePascals(50) / 12351.3).toBeCloseTo(1, 3);
  });

  it.each(AIRS)("agrees on the dew point of air at %d °C with humidity %d", (celsius, humidity) => {
    expect(dewPointCelsius(celsius, humidity)).toBeCloseTo(psychrolib.GetTDewPointFromRelHum(celsius, humidity), 2);
  });

  it("prints the dew point of its documentation", () => {
    expect(dewPointCelsius(25, 0.8)).toBeCloseTo(21.309397163661785, 3);
  });

  it.each(AIRS)("agrees on the density of moist air at %d °C with humidity %d", (celsius, humidity) => {
    for (const pascals of [101_325, 84_556, 70_108]) {
      const content = psychrolib.GetHumRatioFromRelHum(celsius, humidity, pascals);
      const density = psychrolib.GetMoistAirDensity(celsius, content, pascals);
      expect(air(celsius, humidity, pascals).densityKilogramsPerCubicMeter / density).toBeCloseTo(1, 4);
    }
  });

  it("agrees on the standard atmosphere, whose constants it rounds", () => {
    for (const altitude of [-500, 0, 500, 1000, 2000, 3000, 8000]) {
      const ratio = pressureAtAltitudePascals(altitude) / psychrolib.GetStandardAtmPressure(altitude);
      expect(ratio).toBeCloseTo(1, 5);
    }
  });
});
