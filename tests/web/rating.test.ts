// The page's what-if computes what `emberwire rating` prints, from the same basis after its trip as JSON; and what sliders do.

import { describe, expect, it } from "vitest";
import { configFrom } from "../../daemon/commands/flags.ts";
import { register } from "../../daemon/commands/rating.ts";
import { modelOf } from "../../daemon/config/model.ts";
import { settingsOf } from "../../daemon/config/program.ts";
import { ratingBasisOf } from "../../daemon/config/rating-basis.ts";
import type { RatingBasis } from "../../daemon/core/physics/rating.ts";
import { curveFor, groupsOf, rowsFor, stretchesOf, usualQuestion } from "../../web/rating/question.ts";
import { told } from "../commands/told.ts";

const read = configFrom(undefined);
const basis = JSON.parse(JSON.stringify(ratingBasisOf(read, modelOf(read), settingsOf(read).limits))) as RatingBasis;
const at30 = usualQuestion(basis, 30);

const rated = (change: Partial<typeof at30>) =>
  rowsFor(basis, { ...at30, ...change }).find(({ band, mode }) => band === "80 m" && mode === "RTTY")
    ?.sustainableWatts ?? Number.NaN;

describe("the what-if", () => {
  it.each([
    [30, 1],
    [-5, 1],
    [40, 0],
  ])("equals the command's figures at %d °C with the fan at %d", async (airCelsius, speedRatio) => {
    const flags = ["rating", "--json", "--air", `${airCelsius}C`, ...(speedRatio === 0 ? ["--fan-stopped"] : [])];
    const { rows } = JSON.parse((await told(register, flags)).out);
    const mine = rowsFor(basis, { ...at30, airCelsius, speedRatio }).map((row) => ({
      band: row.band,
      mode: row.mode,
      air_celsius: row.airCelsius,
      sustainable_watts: row.sustainableWatts,
      loss_fraction: row.lossFraction,
      limited_by: row.limitedBy,
    }));
    expect(mine).toEqual(rows);
    expect(rows.length).toBeGreaterThan(50);
  });

  it("allows less in thin air, in the sun, with a slow fan or blocked vents; more with pauses", () => {
    const usual = rated({});
    expect(rated({ altitudeMeters: 3000 })).toBeLessThan(usual);
    expect(rated({ sunWatts: 15 })).toBeLessThan(usual);
    expect(rated({ speedRatio: 0.6 })).toBeLessThan(usual);
    expect(rated({ flowFactor: 0.5 })).toBeLessThan(usual);
    expect(rated({ overShare: 0.5 })).toBeCloseTo(2 * usual, 6);
  });

  it("draws a curve whose upper bound is at the limit where the table's rating is", () => {
    const watts = rated({});
    const last = curveFor(basis, { ...at30, band: "80 m", mode: "RTTY" }, watts).at(-1);
    expect(last?.settled?.upperCelsius).toBeCloseTo(basis.limitCelsius, 1);
    const cores = curveFor(basis, { ...at30, band: "80 m" }, watts).map(
      ({ settled }) => settled?.coreCelsius ?? Number.NaN,
    );
    expect(cores).toEqual([...cores].sort((one, other) => one - other));
  });

  it("says bands together that bear about the same, never above what the weakest bears", () => {
    const row = (band: string, sustainableWatts: number) =>
      ({ band, mode: "CW", airCelsius: 30, sustainableWatts, lossFraction: 0.05, limitedBy: "core" }) as const;
    const rows = [row("80 m", 1150), row("40 m", 2100), row("20 m", 1800), row("10 m", 1190), row("6 m", 500)];
    expect(groupsOf(rows, "CW", (watts) => watts, 1500)).toEqual([
      { watts: 1500, capped: true, bands: ["40 m", "20 m"] },
      { watts: 1150, capped: false, bands: ["80 m", "10 m"] },
      { watts: 500, capped: false, bands: ["6 m"] },
    ]);
    const all = rows.map(({ band }) => band);
    expect(stretchesOf(["80 m", "20 m", "10 m", "6 m"], all)).toEqual([
      { from: "80 m", to: null, last: false },
      { from: "20 m", to: "6 m", last: true },
    ]);
  });
});
