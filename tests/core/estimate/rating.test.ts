// The rating table: that its watts settle where it says, that warmer air or more duty never raises them, and each thing that may set them.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { boxConstantsOf, modelFromPriors } from "../../../daemon/core/estimate/model.ts";
import { equilibrium } from "../../../daemon/core/physics/equilibrium.ts";
import { coreLoss } from "../../../daemon/core/physics/ferrite.ts";
import { MIX_43 } from "../../../daemon/core/physics/mixes/mix-43.ts";
import { MODES, modeNamed } from "../../../daemon/core/physics/modes.ts";
import { type RatingQuestion, ratingTable } from "../../../daemon/core/physics/rating.ts";
import { parseToroid, stackOf } from "../../../daemon/core/physics/toroids.ts";

const core = { mix: MIX_43, toroids: stackOf(parseToroid("240")!, 3), primaryTurns: 3 };
const bands = [
  { band: "160 m", lowHertz: 1.8e6, highHertz: 2e6, lossFraction: coreLoss(core, 1.9e6, 1).lossFraction },
  { band: "80 m", lowHertz: 3.5e6, highHertz: 4e6, lossFraction: coreLoss(core, 3.75e6, 1).lossFraction },
  { band: "10 m", lowHertz: 28e6, highHertz: 29.7e6, lossFraction: coreLoss(core, 28.5e6, 1).lossFraction },
];
const model = modelFromPriors({ bands, nominalRpm: 11_000 });
const question: RatingQuestion = {
  model,
  core,
  winding: null,
  limitCelsius: 110,
  outletCelsius: 65,
  airCelsius: [20, 30, 40],
  modes: MODES,
  fanTurning: true,
};
const rtty = modeNamed("RTTY")!;

describe("rating", () => {
  it("has a row for every air temperature, band and mode", () => {
    const rows = ratingTable(question);
    expect(rows).toHaveLength(3 * 3 * MODES.length);
    expect(new Set(rows.map(({ band, mode, airCelsius }) => `${band} ${mode} ${airCelsius}`)).size).toBe(rows.length);
  });

  it("settles a certain model exactly at the limit", () => {
    const certain = {
      ...model,
      riseUncertaintyRatio: { fanOn: 0, fanOff: 0 },
      hotSpot: { kelvin: 0, uncertaintyKelvin: 0 },
      bands: model.bands.map((band) => ({ ...band, kappaUncertainty: 0 })),
    };
    const [row] = ratingTable({ ...question, model: certain, airCelsius: [30], modes: [rtty] }).slice(1);
    const lossWatts = row!.sustainableWatts * row!.lossFraction;
    const settled = equilibrium(
      boxConstantsOf(model),
      { inletCelsius: 30, sunWatts: 0, lossWatts },
      { speedRatio: 1, flowFactor: 1 },
    );
    // At 110 °C the collapse adds under 1 % to the loss; the table counts it.
    expect(settled.coreCelsius).toBeGreaterThan(108.5);
    expect(settled.coreCelsius).toBeLessThanOrEqual(110);
  });

  it("never bears more in warmer air, with more duty, with a lower limit, or with the fan standing", () => {
    fc.assert(
      fc.property(
        fc.double({ min: -20, max: 50, noNaN: true }),
        fc.double({ min: 0.5, max: 10, noNaN: true }),
        (air, more) => {
          const at = (change: Partial<RatingQuestion>): number[] =>
            ratingTable({ ...question, airCelsius: [air], modes: [rtty], ...change }).map(
              (row) => row.sustainableWatts,
            );
          const here = at({});
          const worse = [at({ airCelsius: [air + more] }), at({ limitCelsius: 110 - more }), at({ fanTurning: false })];
          for (const rows of worse)
            for (const [index, watts] of rows.entries()) expect(watts).toBeLessThanOrEqual(here[index]!);
        },
      ),
      { numRuns: 40 },
    );
    const byMode = (name: string): number =>
      ratingTable({ ...question, modes: [modeNamed(name)!] })[4]!.sustainableWatts;
    expect(byMode("RTTY")).toBeLessThan(byMode("CW"));
    expect(byMode("CW")).toBeLessThan(byMode("SSB"));
    // The same average, but 15 s at a stretch: the core swings, so FT8 bears a little less than CW.
    expect(byMode("FT8")).toBeLessThan(byMode("CW"));
    expect(byMode("FT8")).toBeGreaterThan(0.95 * byMode("CW"));
  });

  it("scales with the loss: a core half as lossy bears twice the watts", () => {
    const half = { ...model, bands: model.bands.map((band) => ({ ...band, kappa: 0.5 })) };
    const whole = ratingTable({ ...question, modes: [rtty] });
    const less = ratingTable({ ...question, model: half, modes: [rtty] });
    expect(less[1]!.sustainableWatts / whole[1]!.sustainableWatts).toBeCloseTo(2, 9);
    expect(less[1]!.lossFraction / whole[1]!.lossFraction).toBeCloseTo(0.5, 12);
  });

  it("names the flux when a light duty would let the core bear more than the tables hold for", () => {
    const [row] = ratingTable({ ...question, airCelsius: [0], modes: [modeNamed("SSB")!] });
    expect(row).toMatchObject({ band: "160 m", limitedBy: "flux" });
  });

  it("names the wire when it is thin, never when it is thick or not known", () => {
    const winding = { primaryTurns: 3, secondaryTurns: 21, leadMeters: 0, wireDiameterMeters: 0.4e-3 };
    const thin = ratingTable({ ...question, winding, modes: [rtty] });
    expect(thin.every((row) => row.limitedBy === "wire")).toBe(true);
    const thick = ratingTable({ ...question, winding: { ...winding, wireDiameterMeters: 3e-3 }, modes: [rtty] });
    expect(thick.map((row) => row.sustainableWatts)).toEqual(
      ratingTable({ ...question, modes: [rtty] }).map((row) => row.sustainableWatts),
    );
  });

  it("names the fan when the air would leave too warm, and the air when it enters too warm", () => {
    const weak = ratingTable({ ...question, outletCelsius: 45, airCelsius: [40], modes: [rtty] });
    expect(weak[1]).toMatchObject({ limitedBy: "fan" });
    expect(weak[1]!.sustainableWatts).toBeLessThan(
      ratingTable({ ...question, airCelsius: [40], modes: [rtty] })[1]!.sustainableWatts,
    );
    const hot = ratingTable({ ...question, airCelsius: [70], modes: [rtty] });
    expect(hot[1]).toMatchObject({ sustainableWatts: 0, limitedBy: "air" });
  });

  it("names runaway when the limit is set beyond where the box can hold the core, and bears less than the most it can settle", () => {
    const certain = {
      ...model,
      riseUncertaintyRatio: { fanOn: 0, fanOff: 0 },
      hotSpot: { kelvin: 0, uncertaintyKelvin: 0 },
    };
    const known = {
      ...certain,
      bands: model.bands.map((band) => ({ ...band, kappaUncertainty: 0 })),
      collapse: { celsius: 110, widthKelvin: 5, gain: 3 },
    };
    const at = (limitCelsius: number) =>
      ratingTable({ ...question, model: known, limitCelsius, outletCelsius: 200, airCelsius: [30], modes: [rtty] })[1]!;
    expect(at(90).limitedBy).toBe("core");
    expect(at(127).limitedBy).toBe("runaway");
    const most = Math.max(...[90, 95, 100, 105, 110].map((limit) => at(limit).sustainableWatts));
    expect(at(127).sustainableWatts).toBeLessThan(most);
    // A limit beyond the Curie point leaves nothing at all.
    expect(at(140)).toMatchObject({ sustainableWatts: 0, limitedBy: "flux" });
  });
});
