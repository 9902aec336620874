// The heat scale must rise in lightness all the way. Held against CIE L* (CIE 15:2018, formula from memory) computed from
// relative luminance (WCAG 2.2, IEC 61966-2-1), which shares nothing with the OKLab the scale is made in.

import { describe, expect, it } from "vitest";
import { heatColour, heatDomainCelsius, heatPosition } from "../../web/heat-scale.ts";
import { contrastRatio, luminance } from "../support/colour.ts";

/** CIE 1976 lightness, 0–100, of a relative luminance. */
function cieLightness(relative: number): number {
  return relative > (6 / 29) ** 3 ? 116 * Math.cbrt(relative) - 16 : (29 / 3) ** 3 * relative;
}

const positions = Array.from({ length: 261 }, (_, index) => index / 260);

describe.each(["light", "dark", "night"] as const)("heat scale, %s look", (look) => {
  it("never gets darker as it gets hotter", () => {
    const lightness = positions.map((position) => cieLightness(luminance(heatColour(position, look))));
    for (const [index, value] of lightness.entries()) {
      // One step of an 8-bit channel moves L* by up to about 0.4; anything beyond is the scale's own doing.
      if (index > 0) expect(value).toBeGreaterThan((lightness[index - 1] ?? 0) - 0.4);
    }
    const byTens = lightness.filter((_, index) => index % 26 === 0);
    for (const [index, value] of byTens.entries()) {
      if (index > 0) expect(value - (byTens[index - 1] ?? 0)).toBeGreaterThan(1.5);
    }
  });

  it("spans enough lightness to be read without colour", () => {
    const span = cieLightness(luminance(heatColour(1, look))) - cieLightness(luminance(heatColour(0, look)));
    expect(span).toBeGreaterThan(45);
  });
});

describe("heat scale", () => {
  it("is all red at night", () => {
    for (const position of positions) {
      const hex = heatColour(position, "night");
      const [red, green, blue] = [hex.slice(1, 3), hex.slice(3, 5), hex.slice(5, 7)].map((byte) =>
        Number.parseInt(byte, 16),
      );
      expect(red).toBeGreaterThan(2 * Math.max(green ?? 0, blue ?? 0));
    }
  });

  it("keeps a leader's point readable on any core", () => {
    // The point is ink inside a ring of paper; one of the two must stand out from every colour of the scale (1.4.11: 3:1).
    for (const [look, ink, paper] of [
      ["light", "#14232a", "#f4f6f5"],
      ["dark", "#e4edec", "#10191d"],
    ] as const) {
      for (const position of positions) {
        const heat = heatColour(position, look);
        expect(Math.max(contrastRatio(heat, ink), contrastRatio(heat, paper))).toBeGreaterThan(3);
      }
    }
  });

  it("puts the limit before the end, so that beyond it is still another colour", () => {
    expect(heatDomainCelsius(110)).toEqual([0, 130]);
    expect(heatPosition(110, 110)).toBeCloseTo(110 / 130, 12);
    expect(heatPosition(500, 110)).toBe(1);
    expect(heatPosition(-40, 110)).toBe(0);
  });
});
