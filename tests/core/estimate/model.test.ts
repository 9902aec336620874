// The model as data: priors, what it refuses, and that nothing is lost in JSON.

import { describe, expect, it } from "vitest";
import { bandIndexAt, boxConstantsOf, CONSTANT_NAMES, modelFromPriors } from "../../../daemon/core/estimate/model.ts";

const options = {
  nominalRpm: 11_000,
  bands: [
    { band: "80 m", lowHertz: 3.5e6, highHertz: 4.0e6, lossFraction: 0.049 },
    { band: "40 m", lowHertz: 7.0e6, highHertz: 7.3e6, lossFraction: 0.044 },
  ],
};

describe("a model from priors", () => {
  it("is not calibrated and knows every constant with its uncertainty", () => {
    const model = modelFromPriors(options);
    expect(model.calibration).toBe("not calibrated");
    expect(CONSTANT_NAMES).toHaveLength(12);
    for (const name of CONSTANT_NAMES) {
      expect(model.constants[name].value, name).toBeGreaterThan(0);
      expect(model.constants[name].uncertaintyRatio, name).toBeGreaterThan(0.03);
      expect(model.constants[name].uncertaintyRatio, name).toBeLessThan(0.5);
    }
  });

  it("scales the core's heat capacity with its mass and nothing else", () => {
    const single = boxConstantsOf(modelFromPriors(options));
    const double = boxConstantsOf(modelFromPriors({ ...options, coreMassRatio: 2 }));
    expect(double.coreHeatCapacityJoulesPerKelvin).toBe(2 * single.coreHeatCapacityJoulesPerKelvin);
    expect({ ...double, coreHeatCapacityJoulesPerKelvin: 0 }).toEqual({
      ...single,
      coreHeatCapacityJoulesPerKelvin: 0,
    });
  });

  it("survives JSON", () => {
    const model = modelFromPriors(options);
    expect(JSON.parse(JSON.stringify(model))).toEqual(model);
  });

  it("finds the band of a frequency, edges included", () => {
    const model = modelFromPriors(options);
    expect(bandIndexAt(model, 3.5e6)).toBe(0);
    expect(bandIndexAt(model, 7.3e6)).toBe(1);
    expect(bandIndexAt(model, 5.3e6)).toBe(-1);
    expect(bandIndexAt(model, null)).toBe(-1);
  });

  it.each([
    ["nominalRpm", { ...options, nominalRpm: 0 }, "nominalRpm: expected a positive number, got 0"],
    ["coreMassRatio", { ...options, coreMassRatio: -1 }, "coreMassRatio: expected a positive number, got -1"],
    [
      "pressurePascals",
      { ...options, pressurePascals: Number.NaN },
      "pressurePascals: expected a positive number, got NaN",
    ],
    [
      "a loss fraction",
      { ...options, bands: [{ ...options.bands[0]!, lossFraction: 0 }] },
      "80 m lossFraction: expected a positive number, got 0",
    ],
    [
      "crossed edges",
      { ...options, bands: [{ ...options.bands[0]!, highHertz: 3e6 }] },
      "80 m highHertz: expected more than 3500000, got 3000000",
    ],
  ])("refuses %s that cannot be", (_what, wrong, message) => {
    expect(() => modelFromPriors(wrong)).toThrow(new RangeError(message));
  });
});
