// Source: F. P. Incropera et al., Fundamentals of Heat and Mass Transfer, examples 9.2 (fire screen, natural convection)
// and 7.4 (cylinder in cross-flow). Inputs and printed answers from memory;
// the correlations were also worked again by hand with these inputs.
import { describe, expect, it } from "vitest";
import { rayleigh } from "../../daemon/core/physics/convection.ts";
import { nusseltCrossFlow, nusseltVerticalPlate } from "./films.ts";

describe("Incropera", () => {
  it("example 9.2: vertical glass 0.71 m high, 232 °C in air of 23 °C (Churchill and Chu)", () => {
    const film = {
      conductivityWattsPerMeterKelvin: 0.0338,
      kinematicViscositySquareMetersPerSecond: 26.4e-6,
      prandtl: 0.69,
    };
    const number = rayleigh(232 - 23, 400, 0.71, film);
    expect(number / 1.813e9).toBeCloseTo(1, 2);
    const nusselt = nusseltVerticalPlate(1.813e9, 0.69);
    expect(nusselt).toBeCloseTo(147, 0);
    const coefficient = (nusselt * 0.0338) / 0.71;
    expect(coefficient).toBeCloseTo(7.0, 1);
    expect((coefficient * 1.02 * 0.71 * 209) / 1060).toBeCloseTo(1, 2);
  });

  it("example 7.4: 12.7 mm cylinder in 10 m/s of air (Churchill and Bernstein)", () => {
    const reynolds = (10 * 12.7e-3) / 20.92e-6;
    expect(reynolds).toBeCloseTo(6071, 0);
    const nusselt = nusseltCrossFlow(reynolds, 0.7);
    expect(nusselt).toBeCloseTo(40.6, 1);
    expect((nusselt * 0.03) / 12.7e-3).toBeCloseTo(96, 0);
  });
});
