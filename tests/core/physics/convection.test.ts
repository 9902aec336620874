// Films and radiation: growth with speed and difference, and that a small plastic box sheds what such boxes shed.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { nusseltHorizontalCylinder, radiationCoefficient } from "../../../daemon/core/physics/convection.ts";
import {
  boxAreaSquareMeters,
  boxToAmbientWattsPerKelvin,
  crossFlowCoefficient,
  nusseltCrossFlow,
  nusseltHorizontalPlate,
  nusseltVerticalPlate,
} from "../../reference/films.ts";

const box = { widthMeters: 0.102, depthMeters: 0.102, heightMeters: 0.051, emissivity: 0.9 };

describe("convection", () => {
  it("grows with Rayleigh and Reynolds number", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 1e10, noNaN: true }),
        fc.double({ min: 1.01, max: 10, noNaN: true }),
        (ra, more) => {
          expect(nusseltVerticalPlate(ra * more, 0.71)).toBeGreaterThan(nusseltVerticalPlate(ra, 0.71));
          expect(nusseltHorizontalCylinder(ra * more, 0.71)).toBeGreaterThan(nusseltHorizontalCylinder(ra, 0.71));
          expect(nusseltHorizontalPlate(ra * more, true)).toBeGreaterThanOrEqual(
            nusseltHorizontalPlate(ra, true) * 0.98,
          );
          expect(nusseltHorizontalPlate(ra, true)).toBeGreaterThanOrEqual(nusseltHorizontalPlate(ra, false));
        },
      ),
    );
    expect(nusseltCrossFlow(2000, 0.7)).toBeGreaterThan(nusseltCrossFlow(1000, 0.7));
  });

  it("goes with speed to a power between a half and 0.7 around a toroid's size", () => {
    const slow = crossFlowCoefficient(0.06, 2, 80, 30);
    const fast = crossFlowCoefficient(0.06, 4, 80, 30);
    const power = Math.log2(fast / slow);
    expect(power).toBeGreaterThan(0.5);
    expect(power).toBeLessThan(0.7);
  });

  it("radiates as the derivative of T⁴ when both sides are close", () => {
    expect(radiationCoefficient(1, 25, 25)).toBeCloseTo(4 * 5.670374419e-8 * 298.15 ** 3, 9);
    expect(radiationCoefficient(0.9, 110, 42)).toBeGreaterThan(radiationCoefficient(0.9, 42, 42));
  });

  it("sheds from a 102 × 102 × 51 mm plastic box what the priors of the model expect: 0.32 to 0.51 W/K", () => {
    expect(boxAreaSquareMeters(box)).toBeCloseTo(0.0416, 4);
    for (const wall of [30, 35, 45]) {
      const conductance = boxToAmbientWattsPerKelvin(box, wall, 25);
      expect(conductance).toBeGreaterThan(0.32);
      expect(conductance).toBeLessThan(0.51);
    }
    expect(boxToAmbientWattsPerKelvin(box, 45, 25)).toBeGreaterThan(boxToAmbientWattsPerKelvin(box, 30, 25));
    // A wall at ambient, or colder: still a conductance, never a division by nothing.
    expect(boxToAmbientWattsPerKelvin(box, 25, 25)).toBeGreaterThan(0.2);
    expect(boxToAmbientWattsPerKelvin(box, 10, 25)).toBeGreaterThan(0.2);
  });
});
