// Core loss and flux: how they scale, what a mismatch does, and how rings of different size share the flux.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { reciprocal, squaredMagnitude } from "../../../daemon/core/physics/complex.ts";
import {
  besideLoad,
  type Core,
  coreLoss,
  fluxDensity,
  magnetisingImpedance,
} from "../../../daemon/core/physics/ferrite.ts";
import { MATCHED, voltsSquaredPerWatt } from "../../../daemon/core/physics/load.ts";
import { MIX_43 } from "../../../daemon/core/physics/mixes/mix-43.ts";
import { MIX_52 } from "../../../daemon/core/physics/mixes/mix-52.ts";
import { parseToroid, stackOf } from "../../../daemon/core/physics/toroids.ts";

const large = parseToroid("240")!;
const core: Core = { mix: MIX_43, toroids: stackOf(large, 3), primaryTurns: 3 };
const frequency = fc.double({ min: 0.31e6, max: 62e6, noNaN: true });

describe("ferrite", () => {
  it("scales the impedance with turns squared and rings, so the loss falls with both", () => {
    const one = magnetisingImpedance({ ...core, toroids: [large], primaryTurns: 1 }, 3.6e6);
    const many = magnetisingImpedance(core, 3.6e6);
    expect(many.real / one.real).toBeCloseTo(27, 9);
    expect(many.imaginary / one.imaginary).toBeCloseTo(27, 9);
    expect(coreLoss({ ...core, primaryTurns: 2 }, 3.6e6, 1000).lossWatts).toBeCloseTo(
      (coreLoss(core, 3.6e6, 1000).lossWatts * 9) / 4,
      9,
    );
  });

  it("keeps the loss fraction whatever the drive, and the flux with its root", () => {
    fc.assert(
      fc.property(frequency, fc.double({ min: 1, max: 5000, noNaN: true }), (hertz, watts) => {
        const low = coreLoss(core, hertz, watts);
        const high = coreLoss(core, hertz, 4 * watts);
        expect(high.lossFraction).toBe(low.lossFraction);
        expect(high.lossWatts / low.lossWatts).toBeCloseTo(4, 9);
        expect(high.fluxDensityTesla / low.fluxDensityTesla).toBeCloseTo(2, 9);
        expect(low.lossWatts).toBeGreaterThan(0);
      }),
    );
  });

  it("makes no heat without drive", () => {
    expect(coreLoss(core, 3.6e6, 0)).toMatchObject({ lossWatts: 0, fluxDensityTesla: 0, primaryVolts: 0 });
  });

  it("states both loss fractions: power balance of core beside a matched wire", () => {
    const { lossFraction, lossFractionBesideLoad } = coreLoss(core, 3.6e6, 1000);
    const volts = 100;
    const { real, imaginary } = magnetisingImpedance(core, 3.6e6);
    const inCore = (volts ** 2 * real) / (real ** 2 + imaginary ** 2);
    const inWire = volts ** 2 / 50;
    expect(inCore / inWire).toBeCloseTo(lossFraction, 12);
    expect(inCore / (inCore + inWire)).toBeCloseTo(lossFractionBesideLoad, 12);
    expect(besideLoad(1)).toBe(0.5);
  });

  it("bounds by SWR what any impedance on that SWR circle gives, and touches both bounds", () => {
    const { low, high } = voltsSquaredPerWatt({ kind: "swr", ratio: 2.5, lineOhms: 50 });
    let least = Number.POSITIVE_INFINITY;
    let most = 0;
    for (let degree = 0; degree < 360; degree += 1) {
      // Z = R·(1 + Γ)/(1 − Γ) round the circle of |Γ| = (S − 1)/(S + 1).
      const angle = (degree * Math.PI) / 180;
      const gamma = { real: (1.5 / 3.5) * Math.cos(angle), imaginary: (1.5 / 3.5) * Math.sin(angle) };
      const below = reciprocal({ real: 1 - gamma.real, imaginary: -gamma.imaginary });
      const ohms = {
        real: 50 * ((1 + gamma.real) * below.real - gamma.imaginary * below.imaginary),
        imaginary: 50 * ((1 + gamma.real) * below.imaginary + gamma.imaginary * below.real),
      };
      const { nominal } = voltsSquaredPerWatt({ kind: "impedance", ohms });
      expect(nominal).toBeGreaterThanOrEqual(low - 1e-9);
      expect(nominal).toBeLessThanOrEqual(high + 1e-9);
      least = Math.min(least, nominal);
      most = Math.max(most, nominal);
    }
    expect(least).toBeCloseTo(20, 6);
    expect(most).toBeCloseTo(125, 6);
    expect(voltsSquaredPerWatt(MATCHED)).toEqual({ low: 50, nominal: 50, high: 50 });
    expect(squaredMagnitude({ real: 3, imaginary: -4 })).toBe(25);
  });

  it("takes the flux of a mismatch at its worst", () => {
    const matched = coreLoss(core, 3.6e6, 1000);
    const swr = coreLoss(core, 3.6e6, 1000, { kind: "swr", ratio: 4, lineOhms: 50 });
    expect(swr.fluxDensityTesla / matched.fluxDensityTesla).toBeCloseTo(2, 9);
    expect(swr.lossWatts).toBe(matched.lossWatts);
  });

  it("shares the linkage among rings of different size without losing any", () => {
    const small = parseToroid("140")!;
    const mixed: Core = { ...core, toroids: [large, small, small] };
    const { meanTesla, boreTesla } = fluxDensity(mixed, 3.6e6, 100);
    // The shortest path carries the highest density; every other ring in proportion to 1/l.
    const linkage = mixed.toroids.reduce(
      (sum, ring) => sum + meanTesla * (small.pathMeters / ring.pathMeters) * ring.areaSquareMeters,
      0,
    );
    expect(3 * linkage).toBeCloseTo((Math.SQRT2 * 100) / (2 * Math.PI * 3.6e6), 15);
    expect(boreTesla / meanTesla).toBeCloseTo(small.pathMeters / (Math.PI * small.insideDiameterMeters), 9);
  });

  it("passes the gap of the table on, and refuses nonsense", () => {
    expect(coreLoss({ ...core, mix: MIX_52 }, 1.9e6, 100).gap).toEqual({ lowHertz: 960_000, highHertz: 3_000_000 });
    expect(() => coreLoss(core, 70e6, 100)).toThrow("outside the published table");
    expect(() => coreLoss({ ...core, primaryTurns: 0 }, 3.6e6, 100)).toThrow("primary turns");
    expect(() => coreLoss({ ...core, toroids: [] }, 3.6e6, 100)).toThrow("number of toroids");
    expect(() => coreLoss(core, 3.6e6, -1)).toThrow("drive");
    expect(() => voltsSquaredPerWatt({ kind: "impedance", ohms: { real: 0, imaginary: 10 } })).toThrow(
      "load resistance",
    );
  });
});
