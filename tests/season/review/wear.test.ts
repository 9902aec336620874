// Steps and trends in made-up seasons of which it is known what happened: found where they were put, and nowhere else.

import { describe, expect, it } from "vitest";
import { emptyDigest } from "../../../daemon/season/digest.ts";
import { fanLifeOf } from "../../../daemon/season/review/fan-life.ts";
import { stepsIn } from "../../../daemon/season/review/steps.ts";
import { wearOf } from "../../../daemon/season/review/wear.ts";
import { seededRandom } from "../../../hardware/simulated/random.ts";

const points = (count: number, seed: number, of: (day: number, noise: number) => number) => {
  const random = seededRandom(seed);
  return Array.from({ length: count }, (_, day) => ({ days: day, value: of(day, random.normal()) }));
};

describe("stepsIn", () => {
  it("finds a new fan at its day, with the levels on both sides", () => {
    for (let seed = 1; seed <= 20; seed += 1) {
      const found = stepsIn(points(120, seed, (day, noise) => (day < 70 ? 880 : 917) + 4 * noise));
      expect(found).toHaveLength(1);
      expect(Math.abs(found[0]!.days - 70)).toBeLessThanOrEqual(1);
      expect(Math.abs(found[0]!.before - 880)).toBeLessThan(6);
      expect(Math.abs(found[0]!.after - 917)).toBeLessThan(6);
    }
  });

  it("finds it behind a long wear, too", () => {
    for (let seed = 1; seed <= 20; seed += 1) {
      const worn = (day: number): number => (day < 90 ? 917 - 45 * (day / 90) ** 2 : 917);
      const found = stepsIn(points(150, seed, (day, noise) => worn(day) + 2 * noise));
      expect(found.map(({ days }) => Math.abs(days - 90) <= 2)).toEqual([true]);
    }
  });

  it("takes noise and slow wear for no step, in at most one season of thirty", () => {
    const seasons = Array.from({ length: 100 }, (_, seed) => seed + 1);
    const noisy = seasons.filter((seed) => stepsIn(points(200, seed, (_, noise) => 1 + 0.02 * noise)).length > 0);
    const worn = seasons.filter(
      (seed) => stepsIn(points(200, seed, (day, noise) => 1 - 0.001 * day + 0.02 * noise)).length > 0,
    );
    expect(noisy.length).toBeLessThanOrEqual(3);
    expect(worn.length).toBeLessThanOrEqual(3);
  });

  it("is not moved by single bad days", () => {
    const found = stepsIn(points(100, 3, (day, noise) => 1 + 0.01 * noise + (day % 29 === 7 ? 5 : 0)));
    expect(found).toEqual([]);
  });

  it("says nothing of a few days", () => {
    expect(stepsIn(points(6, 1, (day) => (day < 3 ? 1 : 2)))).toEqual([]);
  });
});

describe("wearOf", () => {
  const DAY = 86_400;
  const season = (flowOf: (day: number, noise: number) => number, days = 100) => {
    const random = seededRandom(5);
    return Array.from({ length: days }, (_, day) => {
      const digest = emptyDigest();
      digest.flowFactor = { sum: 600 * flowOf(day, random.normal()), count: 600 };
      return { fromSeconds: day * DAY, hours: [{ hour: day * 24, digest }] };
    });
  };
  const flow = (...[days, notes, alarms]: Parameters<typeof wearOf>) =>
    wearOf(days, notes, alarms).find(({ quantity }) => quantity === "flow_factor")!;

  it("says when clogging vents reach the alarm, within what its own uncertainty allows", () => {
    const wear = flow(
      season((day, noise) => 1 - 0.001 * day + 0.003 * noise),
      [],
      { flow_factor: 0.7 },
    );
    // From 0.9 on day 100 at 0.001 a day it is 200 days to 0.7.
    expect(wear.days_to_alarm).toBeGreaterThan(180);
    expect(wear.days_to_alarm).toBeLessThan(220);
    expect(wear.trend?.slope_per_month).toBeCloseTo(-0.0304, 2);
    expect(wear.sentence).toMatch(
      /^Flow factor: 0\.90\d, falling by 0\.03\d* a month .*will reach the alarm in [67] months\.$/,
    );
  });

  it("promises nothing when the slope may be chance", () => {
    const wear = flow(
      season((_, noise) => 0.9 + 0.01 * noise, 30),
      [],
      { flow_factor: 0.7 },
    );
    expect(wear.days_to_alarm).toBeNull();
    expect(wear.sentence).toContain("no trend that could not be chance");
  });

  it("begins the trend anew behind a step, and names the note that stands near it", () => {
    const cleaned = { at_seconds: 60 * DAY, kind: "note", tag: "note", text: "vents brushed out", by: null };
    const far = { ...cleaned, at_seconds: 20 * DAY, text: "rain" };
    const wear = flow(
      season((day, noise) => (day < 60 ? 1 - 0.003 * day : 1) + 0.003 * noise),
      [far, cleaned],
      { flow_factor: 0.7 },
    );
    expect(wear.steps).toHaveLength(1);
    expect(wear.steps[0]!.attributed_to).toBe("vents brushed out");
    expect(wear.trend?.from_seconds).toBeGreaterThan(58 * DAY);
    expect(wear.days_to_alarm).toBeNull();
  });

  it("leaves a step without a near note unexplained", () => {
    const wear = flow(
      season((day, noise) => (day < 50 ? 0.8 : 1) + 0.003 * noise),
      [],
      {},
    );
    expect(wear.steps.map(({ attributed_to }) => attributed_to)).toEqual([null]);
  });
});

describe("fanLifeOf", () => {
  // Common practice, no source: life is stated at 40 °C and halves for every 15 K above.
  it("weighs an hour at 55 °C as two and credits no cold", () => {
    const digest = emptyDigest();
    digest.fan.turningSeconds = 3 * 3_600;
    digest.fan.outletSeconds = [
      [10, 3_600],
      [54, 1_800],
      [55, 1_800],
    ];
    const { turning_hours, weighted_hours } = fanLifeOf(digest);
    expect(turning_hours).toBe(3);
    // One cold hour, one at 55 °C on the mean of its two degrees, and one without an outlet reading.
    expect(weighted_hours).toBeCloseTo(1 + 2 + 1, 1);
  });
});
