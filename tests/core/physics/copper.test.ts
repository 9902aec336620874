// Winding loss: the skin-effect formula against the Bessel series, and how loss shares between the windings.
import { describe, expect, it } from "vitest";
import { copperLoss, radioOhmsPerMeter, skinDepthMeters, turnMeters } from "../../../daemon/core/physics/copper.ts";
import { parseToroid, stackOf } from "../../../daemon/core/physics/toroids.ts";
import { wireOhmsPerMeter } from "../../../daemon/core/physics/wire.ts";

type Z = [re: number, im: number];
const times = (a: Z, b: Z): Z => [a[0] * b[0] - a[1] * b[1], a[0] * b[1] + a[1] * b[0]];
const over = (a: Z, b: Z): Z => {
  const square = b[0] ** 2 + b[1] ** 2;
  return [(a[0] * b[0] + a[1] * b[1]) / square, (a[1] * b[0] - a[0] * b[1]) / square];
};

/** R_ac/R_dc of a round wire by the power series of J0 and J1 at kr, k = (1 − j)/δ: an independent road to the same ratio. */
function besselRatio(radiusOverSkin: number): number {
  const x: Z = [radiusOverSkin, -radiusOverSkin];
  const quarter: Z = times(x, x).map((part) => -part / 4) as Z;
  let j0: Z = [0, 0];
  let j1: Z = [0, 0];
  let term: Z = [1, 0];
  for (let n = 0; n < 120; n += 1) {
    j0 = [j0[0] + term[0], j0[1] + term[1]];
    j1 = [j1[0] + term[0] / (n + 1), j1[1] + term[1] / (n + 1)];
    term = times(term, quarter).map((part) => part / (n + 1) ** 2) as Z;
  }
  // J1 = (x/2)·Σ…; Z/R_dc = (x/2)·J0/J1 = Σ0/Σ1.
  return over(j0, j1)[0];
}

describe("copper at radio frequency", () => {
  it("is the Bessel solution from direct current to thin skin", () => {
    for (const radiusOverSkin of [0.05, 0.5, 1, 1.5, 2, 3, 5, 8, 12]) {
      const diameter = 1e-3;
      // δ = r/ratio fixes the frequency.
      const hertz = (skinDepthMeters(1, 20) / (diameter / 2 / radiusOverSkin)) ** 2;
      const ratio = radioOhmsPerMeter(diameter, hertz, 20) / wireOhmsPerMeter(diameter, 20);
      expect(ratio / besselRatio(radiusOverSkin)).toBeCloseTo(1, 5);
    }
  });

  it("joins the thin-skin series without a step and tends to the skin's own ring", () => {
    const at = (ratio: number): number => {
      const hertz = (skinDepthMeters(1, 20) / (0.5e-3 / ratio)) ** 2;
      return radioOhmsPerMeter(1e-3, hertz, 20) / wireOhmsPerMeter(1e-3, 20);
    };
    expect(at(30.01) / at(29.99)).toBeCloseTo(30.01 / 29.99, 4);
    expect(at(1000) / 500).toBeCloseTo(1, 2);
    expect(at(0.01)).toBeCloseTo(1, 6);
  });

  it("measures a turn round the stack's cross-section", () => {
    const rings = stackOf(parseToroid("240")!, 3);
    expect(turnMeters(rings, 0)).toBeCloseTo(2 * (0.012725 + 3 * 0.0127), 9);
  });

  it("loses more in fewer, warmer, thinner turns' wire and with the current squared", () => {
    const rings = stackOf(parseToroid("240")!, 3);
    const winding = { primaryTurns: 3, secondaryTurns: 21, wireDiameterMeters: 1.63e-3, leadMeters: 0 };
    const base = copperLoss(winding, rings, 3.6e6, 1000, 50, 25);
    expect(copperLoss(winding, rings, 3.6e6, 2000, 50, 25).lossWatts).toBeCloseTo(2 * base.lossWatts, 9);
    expect(copperLoss(winding, rings, 3.6e6, 1000, 25, 25).lossWatts).toBeCloseTo(2 * base.lossWatts, 9);
    expect(copperLoss(winding, rings, 3.6e6, 1000, 50, 100).lossWatts).toBeGreaterThan(base.lossWatts);
    expect(copperLoss({ ...winding, wireDiameterMeters: 1e-3 }, rings, 3.6e6, 1000, 50, 25).lossWatts).toBeGreaterThan(
      base.lossWatts,
    );
    expect(base.primaryWatts + base.secondaryWatts).toBe(base.lossWatts);
    // Seven times the length at a forty-ninth of the squared current.
    expect(base.primaryWatts / base.secondaryWatts).toBeCloseTo(7, 9);
  });
});
