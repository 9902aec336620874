// Sunshine on a box: dark at night, strongest in thin air, in proportion to what the surface takes up.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { absorbedSunWatts, airMass, clearSky, DARK } from "../../../daemon/core/physics/sun.ts";

const box = { widthMeters: 0.102, depthMeters: 0.102, heightMeters: 0.051, absorptivity: 0.7 };

describe("sun", () => {
  it("shines through one air mass overhead and about 38 at the horizon", () => {
    expect(airMass(90)).toBeCloseTo(1, 3);
    expect(airMass(30)).toBeCloseTo(2, 1);
    expect(airMass(0)).toBeGreaterThan(36);
    expect(airMass(0)).toBeLessThan(39);
  });

  it("is dark below the horizon", () => {
    expect(clearSky(-5, 0)).toEqual(DARK);
    expect(absorbedSunWatts(box, clearSky(30, 0), -1)).toBe(0);
  });

  it("grows with elevation and altitude and stays below what arrives outside the air", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 89, noNaN: true }),
        fc.double({ min: 0, max: 3000, noNaN: true }),
        (up, meters) => {
          const here = clearSky(up, meters).beamWattsPerSquareMeter;
          expect(clearSky(up + 1, meters).beamWattsPerSquareMeter).toBeGreaterThan(here);
          expect(clearSky(up, meters + 100).beamWattsPerSquareMeter).toBeGreaterThan(here);
          expect(here).toBeLessThan(1353);
        },
      ),
    );
  });

  it("puts several watts on a grey box at noon, in proportion to its absorptivity", () => {
    const grey = absorbedSunWatts(box, clearSky(60, 0), 60);
    expect(grey).toBeGreaterThan(5);
    expect(grey).toBeLessThan(20);
    const white = absorbedSunWatts({ ...box, absorptivity: 0.35 }, clearSky(60, 0), 60);
    expect(white / grey).toBeCloseTo(0.5, 12);
    expect(absorbedSunWatts({ ...box, absorptivity: 0 }, clearSky(60, 0), 60)).toBe(0);
  });
});
