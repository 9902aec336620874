// The shipped model of the simulated feedpoint is what its heat run gives today, and it knows the box.

import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { DEMO_MODEL_FILE, demoFit, demoModule } from "./model.ts";

describe("the simulated feedpoint's model", () => {
  it("is what node dist/tests/demo/write.js would write", () => {
    expect(readFileSync(DEMO_MODEL_FILE, "utf8")).toBe(demoModule());
  });

  it("stands on core readings, and on a core conductance that the run moved", () => {
    const { model, quantities, spots } = demoFit();
    expect([model.calibration, spots.length]).toEqual(["calibrated", 15]);
    expect(quantities.find(({ name }) => name === "coreToAirWattsPerKelvin")?.identified).toBe(true);
    for (const { celsius, fittedCelsius } of spots) expect(Math.abs(celsius - fittedCelsius)).toBeLessThan(8);
  });
});
