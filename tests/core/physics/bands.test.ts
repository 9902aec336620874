// Bands and modes: which band a frequency is in, where regions differ, what a mode keeps up.
import { describe, expect, it } from "vitest";
import { BANDS, bandCentreHertz, bandEdges, bandNamed, bandOf } from "../../../daemon/core/physics/bands.ts";
import { MODES, modeNamed } from "../../../daemon/core/physics/modes.ts";

describe("bands", () => {
  it("are apart, ascending and named as the trade writes them", () => {
    for (const region of [1, 2, 3, undefined] as const) {
      let previous = 0;
      for (const band of BANDS) {
        const { lowHertz, highHertz } = bandEdges(band, region);
        expect(lowHertz).toBeGreaterThan(previous);
        expect(highHertz).toBeGreaterThan(lowHertz);
        previous = highHertz;
        expect(bandOf(bandCentreHertz(band, region), region)).toBe(band);
        // The name is a wavelength: within a seventh of c/f.
        expect(299.79 / (lowHertz / 1e6) / Number.parseInt(band.name, 10)).toBeCloseTo(1, 0);
      }
    }
  });

  it("differ by region", () => {
    expect(bandOf(3.9e6)?.name).toBe("80 m");
    expect(bandOf(3.9e6, 1)).toBeUndefined();
    expect(bandOf(3.9e6, 2)?.name).toBe("80 m");
    expect(bandOf(7.25e6, 1)).toBeUndefined();
    expect(bandOf(7.25e6, 2)?.name).toBe("40 m");
    expect(bandOf(5e6)).toBeUndefined();
  });

  it("are found by name with or without the space", () => {
    expect(bandNamed("80m")).toBe(bandNamed("80 M"));
    expect(bandNamed("80m")?.name).toBe("80 m");
    expect(bandNamed("81 m")).toBeUndefined();
  });
});

describe("modes", () => {
  it("keep up a share of the peak between none and all", () => {
    expect(MODES.every(({ duty }) => duty > 0 && duty <= 1)).toBe(true);
    expect(modeNamed("ft8")?.name).toBe("FT8");
    expect(modeNamed("smoke signals")).toBeUndefined();
  });
});
