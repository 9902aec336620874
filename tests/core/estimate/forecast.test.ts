// The forecast: that it settles where the equilibrium is, follows air, duty and rhythm, and says where power would go.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { CLIMATE_NORMALS } from "../../../daemon/core/estimate/climate-normals.ts";
import {
  type ForecastInput,
  type ForecastQuestion,
  forecast,
  type PlannedOvers,
} from "../../../daemon/core/estimate/forecast.ts";
import { boxConstantsOf, modelFromPriors } from "../../../daemon/core/estimate/model.ts";
import { equilibrium } from "../../../daemon/core/physics/equilibrium.ts";
import { modeNamed } from "../../../daemon/core/physics/modes.ts";

const model = modelFromPriors({
  bands: [{ band: "80 m", lowHertz: 3.5e6, highHertz: 4e6, lossFraction: 0.05 }],
  nominalRpm: 11_000,
});
const band = model.bands[0]!;
const overs = (mode: string, driveWatts: number, overShare = 1): PlannedOvers => ({
  band,
  mode: modeNamed(mode)!,
  overShare,
  driveWatts,
});
const hours = (count: number, airCelsius: number, planned: PlannedOvers | null): ForecastInput[] =>
  Array.from({ length: count }, (_, hour) => ({ hour, airCelsius, sunWatts: 0, overs: planned }));
const ask = (inputs: readonly ForecastInput[], change: Partial<ForecastQuestion> = {}) =>
  forecast({
    model,
    reduceCelsius: 100,
    limitCelsius: 110,
    fanTurning: true,
    from: null,
    hours: inputs,
    overSeconds: 120,
    ...change,
  });

describe("forecast", () => {
  it("stays with the air while nothing is sent", () => {
    const rows = ask(hours(3, 18, null));
    for (const row of rows) {
      expect(row.peakCoreCelsius).toBeCloseTo(18, 6);
      expect(row).toMatchObject({ lossWatts: 0, powerStage: "full", leavesFullAfterMinutes: null });
    }
  });

  it("settles at the box's equilibrium under a steady carrier", () => {
    const rows = ask(hours(4, 20, overs("RTTY", 800)));
    const settled = equilibrium(
      boxConstantsOf(model),
      { inletCelsius: 20, sunWatts: 0, lossWatts: 40 },
      { speedRatio: 1, flowFactor: 1 },
    );
    expect(rows[3]!.peakCoreCelsius).toBeCloseTo(settled.coreCelsius, 0);
    expect(rows[3]!.lossWatts).toBeCloseTo(40, 1);
  });

  it("averages overs and listening, and swings between them", () => {
    const steady = ask(hours(3, 20, overs("RTTY", 400)))[2]!;
    const halved = ask(hours(3, 20, overs("RTTY", 800, 0.5)), { overSeconds: 300 })[2]!;
    const brief = ask(hours(3, 20, overs("RTTY", 800, 0.5)), { overSeconds: 30 })[2]!;
    expect(halved.lossWatts).toBeCloseTo(steady.lossWatts, 0);
    expect(brief.lossWatts).toBeCloseTo(steady.lossWatts, 0);
    expect(halved.peakCoreCelsius).toBeGreaterThan(steady.peakCoreCelsius + 3);
    expect(brief.peakCoreCelsius).toBeGreaterThan(steady.peakCoreCelsius);
    expect(brief.peakCoreCelsius).toBeLessThan(halved.peakCoreCelsius);
    // FT8's own 15 s count as they come: the same average as a carrier of half the power, a little hotter at the peak.
    const rhythm = ask(hours(3, 20, overs("FT8", 800)))[2]!;
    expect(rhythm.lossWatts).toBeCloseTo(steady.lossWatts, 1);
    expect(rhythm.peakCoreCelsius).toBeGreaterThan(steady.peakCoreCelsius + 0.3);
  });

  it("accounts for any share of overs in the average", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.05, max: 1, noNaN: true }),
        fc.integer({ min: 15, max: 600 }),
        (share, overSeconds) => {
          const [row] = ask(hours(1, 20, overs("RTTY", 300, share)), { overSeconds });
          // Whole cycles do not divide the hour: one over more or less is in it.
          expect(Math.abs(row!.lossWatts - 15 * share)).toBeLessThan((15 * overSeconds) / 3600 + 0.3);
        },
      ),
      { numRuns: 60 },
    );
  });

  it("says where power would be reduced and taken off, and when", () => {
    const rows = ask([
      ...hours(1, 30, overs("RTTY", 300)),
      ...hours(2, 30, overs("RTTY", 1400)).map((row) => ({ ...row, hour: row.hour + 1 })),
    ]);
    expect(rows[0]!.powerStage).toBe("full");
    expect(rows[1]!.powerStage).toBe("inhibited");
    expect(rows[1]!.leavesFullAfterMinutes).toBeGreaterThan(0);
    expect(rows[1]!.leavesFullAfterMinutes).toBeLessThan(30);
    expect(ask(hours(3, 30, overs("RTTY", 650)))[2]!.powerStage).toBe("reduced");
    expect(rows.every((row) => row.peakUpperCelsius >= row.peakCoreCelsius)).toBe(true);
  });

  it("remembers the hours before, starts where it is told, and keeps a runaway a number", () => {
    const planned = hours(2, 20, null);
    planned[0] = { ...planned[0]!, overs: overs("RTTY", 900) };
    expect(ask(planned)[1]!.peakCoreCelsius).toBeGreaterThan(40);
    expect(ask(hours(1, 20, null), { from: { coreCelsius: 90, wallCelsius: 35 } })[0]!.peakCoreCelsius).toBeGreaterThan(
      80,
    );
    const away = ask(hours(3, 40, overs("RTTY", 5000)))[2]!;
    expect(away.peakCoreCelsius).toBeLessThanOrEqual(400);
    expect(away.powerStage).toBe("inhibited");
  });

  it("is never cooler with more drive, warmer air, sun, or without the fan", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 1200, noNaN: true }),
        fc.double({ min: -10, max: 35, noNaN: true }),
        (watts, air) => {
          const base = ask(hours(2, air, overs("CW", watts)))[1]!.peakCoreCelsius;
          const worse = [
            ask(hours(2, air, overs("CW", watts + 50))),
            ask(hours(2, air + 1, overs("CW", watts))),
            ask(hours(2, air, overs("CW", watts)).map((row) => ({ ...row, sunWatts: 8 }))),
            ask(hours(2, air, overs("CW", watts)), { fanTurning: false }),
          ];
          for (const rows of worse) expect(rows[1]!.peakCoreCelsius).toBeGreaterThanOrEqual(base - 1e-9);
        },
      ),
      { numRuns: 25 },
    );
  });
});

describe("climate normals", () => {
  it("hold twelve months of twenty-four hours, warmest on a summer afternoon", () => {
    expect(CLIMATE_NORMALS).toHaveLength(12);
    for (const month of CLIMATE_NORMALS) {
      expect(month).toHaveLength(24);
      expect(month.indexOf(Math.max(...month))).toBeGreaterThan(12);
      expect(month.every((celsius) => celsius > -20 && celsius < 40)).toBe(true);
    }
    const means = CLIMATE_NORMALS.map((month) => month.reduce((sum, celsius) => sum + celsius, 0) / 24);
    expect([6, 7]).toContain(means.indexOf(Math.max(...means)));
    expect([11, 0]).toContain(means.indexOf(Math.min(...means)));
  });
});
