// What heat does to a mix: through the published points, monotone, and collapsed at the Curie point. And: settling or running away.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { parseOwnTable } from "../../../daemon/core/physics/mixes/own-table.ts";
import { PUBLISHED_MIXES, publishedMix } from "../../../daemon/core/physics/mixes/published.ts";
import { settlingPoint } from "../../../daemon/core/physics/runaway.ts";
import {
  heatEffect,
  initialPermeabilityShare,
  saturationRatio,
  saturationShare,
  saturationTesla,
} from "../../../daemon/core/physics/temperature.ts";

const mix43 = publishedMix("43")!;
const own = parseOwnTable("frequency_hertz,mu_real,mu_imaginary\n1e6,800,10\n2e6,700,90\n", "own").mix!;

describe("temperature", () => {
  it("passes through the published saturation at 25 and 100 °C of every mix", () => {
    for (const mix of PUBLISHED_MIXES) {
      expect(saturationTesla(mix, 25)).toBeCloseTo(mix.saturationTeslaAt25Celsius!, 12);
      expect(saturationTesla(mix, 100)).toBeCloseTo(mix.saturationTeslaAt100Celsius!, 12);
      expect(saturationTesla(mix, mix.curieCelsius!)).toBe(0);
    }
  });

  it("only ever makes a hotter core lossier, from 1 to 20 times, and collapses before the Curie point is passed", () => {
    for (const mix of PUBLISHED_MIXES) {
      fc.assert(
        fc.property(
          fc.double({ min: -40, max: 450, noNaN: true }),
          fc.double({ min: 0, max: 50, noNaN: true }),
          (at, more) => {
            const cool = heatEffect(mix, at);
            const warm = heatEffect(mix, at + more);
            expect(warm.lossFactor).toBeGreaterThanOrEqual(cool.lossFactor);
            expect(cool.lossFactor).toBeGreaterThanOrEqual(1);
            expect(warm.lossFactor).toBeLessThanOrEqual(20);
            expect(cool.collapsed).toBe(at >= mix.curieCelsius! || saturationShare(mix, at)! <= 0.05);
          },
        ),
      );
    }
    expect(heatEffect(mix43, 100).lossFactor).toBeCloseTo(0.35 / 0.25, 12);
  });

  it("claims nothing of a mix without a Curie temperature", () => {
    expect(saturationShare(own, 200)).toBeNull();
    expect(saturationRatio(own, 0.1, 25)).toBeNull();
    expect(heatEffect(own, 500)).toEqual({ lossFactor: 1, collapsed: false });
  });

  it("compares flux with saturation", () => {
    expect(saturationRatio(mix43, 0.035, 25)).toBeCloseTo(0.1, 12);
    expect(saturationRatio(mix43, 0.035, 130)).toBe(Number.POSITIVE_INFINITY);
  });

  it("gives the initial permeability where it is published and null elsewhere", () => {
    expect(initialPermeabilityShare(mix43, 65)).toBeCloseTo(1.5, 12);
    expect(initialPermeabilityShare(mix43, 115)).toBeNull();
    const mix61 = publishedMix("61")!;
    expect(initialPermeabilityShare(mix61, 100)! * 123.97).toBeCloseTo(130.51, 9);
    expect(initialPermeabilityShare(mix61, 425)).toBeNull();
    expect(initialPermeabilityShare(mix61, -60)).toBeNull();
  });
});

describe("settling point", () => {
  const heat = (watts: number) => (celsius: number) => watts * heatEffect(mix43, celsius).lossFactor;
  const cooling = (celsius: number) => 0.8 * (celsius - 30);

  it("finds heat in equal to heat out, and the point of no return above it", () => {
    const found = settlingPoint(heat(40), cooling, 30, 130);
    if (found.kind !== "settles") return expect.unreachable("it must settle");
    expect(heat(40)(found.celsius)).toBeCloseTo(cooling(found.celsius), 6);
    expect(found.pointOfNoReturnCelsius).not.toBeNull();
    const above = found.pointOfNoReturnCelsius!;
    expect(above).toBeGreaterThan(found.celsius + 10);
    expect(heat(40)(above + 1)).toBeGreaterThan(cooling(above + 1));
    expect(heat(40)(above - 1)).toBeLessThan(cooling(above - 1));
  });

  it("says that a core without equilibrium runs away", () => {
    expect(settlingPoint(heat(90), cooling, 30, 130)).toEqual({ kind: "runs away" });
  });

  it("settles where it stands when it already rejects more than it makes", () => {
    expect(settlingPoint(() => 0, cooling, 40, 130)).toEqual({
      kind: "settles",
      celsius: 40,
      pointOfNoReturnCelsius: null,
    });
  });

  it("never settles cooler with more drive", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 60, noNaN: true }),
        fc.double({ min: 1, max: 1.5, noNaN: true }),
        (watts, more) => {
          const less = settlingPoint(heat(watts), cooling, 30, 130);
          const higher = settlingPoint(heat(watts * more), cooling, 30, 130);
          if (higher.kind === "settles") {
            expect(less.kind === "settles" && less.celsius <= higher.celsius + 1e-6).toBe(true);
          }
        },
      ),
    );
  });

  it("wants a range to look through", () => {
    expect(() => settlingPoint(heat(1), cooling, 130, 130)).toThrow("highest temperature");
  });
});
