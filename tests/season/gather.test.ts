// What an hour amounts to, against sums made by hand, and hours added up as if they had been one.

import { describe, expect, it } from "vitest";
import type { Text } from "../../daemon/season/block.ts";
import { addDigest, emptyDigest, type HourDigest } from "../../daemon/season/digest.ts";
import { type GatheredRows, gather } from "../../daemon/season/gather.ts";
import { secondsAbove, summaryOf } from "../../daemon/season/review/summary.ts";

const NONE = Number.NaN;
const bandOf = (hertz: number): string | null => (hertz < 5e6 ? "80 m" : hertz < 8e6 ? "40 m" : null);

function rows(from: number, columns: Readonly<Record<string, readonly number[]>>, fan: Text = "turning"): GatheredRows {
  const length = Object.values(columns)[0]!.length;
  return {
    dates: Array.from({ length }, (_, index) => from + index),
    numbers: (name) => columns[name] ?? null,
    texts: (name) => (name === "fan" ? Array<Text>(length).fill(fan) : null),
  };
}

/** Ten seconds: two overs on 80 m, one on 40 m. */
const EVENING = {
  transmitting: [0, 1, 1, 0, 1, 1, 1, 0, 1, 1],
  frequency_hertz: [NONE, 3.5e6, 3.5e6, NONE, 3.6e6, 3.6e6, 3.6e6, NONE, 7e6, 7e6],
  drive_watts: [0, 100, 100, 0, 200, 200, 200, 0, 50, 50],
  loss_watts: [0, 5, 5, 0, 10, 10, 10, 0, 2, NONE],
  core_celsius: [20, 20.5, 21, 21, 25, 31, 35, 33, 30, 29.9],
  loss_factor: [NONE, 1, 1, NONE, 1.2, 1.2, 1.2, NONE, 0.9, 0.9],
  power_stage: [0, 0, 0, 0, 0, 0, 1, 1, 2, 0],
};

describe("gather", () => {
  const digest = gather([rows(0, EVENING)], bandOf);

  it("counts overs and sums energy, all together and by band", () => {
    expect(digest).toMatchObject({ seconds: 10, transmittingSeconds: 7, overs: 3, driveJoules: 900, lossJoules: 42 });
    expect(digest.bands).toMatchObject({
      "80 m": { seconds: 5, overs: 2, driveJoules: 800, lossJoules: 40, peakCoreCelsius: 35, lossFactorCount: 5 },
      "40 m": { seconds: 2, overs: 1, driveJoules: 100, lossJoules: 2, peakCoreCelsius: 30 },
    });
    expect(summaryOf(digest).bands.map(({ band, loss_factor }) => [band, loss_factor])).toEqual([
      ["80 m", 1.12],
      ["40 m", 0.9],
    ]);
    expect(digest.stageSeconds).toEqual([7, 2, 1]);
  });

  it("knows how long the core was above any whole degree", () => {
    expect([20, 21, 30, 31, 35, 36].map((celsius) => secondsAbove(digest, celsius))).toEqual([10, 8, 4, 3, 1, 0]);
    expect(digest.peakCoreCelsius).toBe(35);
  });

  it("keeps the turns of the core and not its wiggles", () => {
    const core = [20, 21, 20.5, 30, 29.5, 31, 25, 26, 24, 40];
    expect(gather([rows(0, { core_celsius: core })], bandOf).reversals).toEqual([20, 31, 24, 40]);
  });

  it("takes a row for no longer than five seconds, whatever comes after it", () => {
    const far = {
      dates: [0, 1, 1_000],
      numbers: (name: string) => (name === "transmitting" ? [1, 1, 1] : null),
      texts: () => null,
    };
    expect(gather([far], bandOf)).toMatchObject({ seconds: 7, transmittingSeconds: 7, overs: 1 });
  });

  it("counts the rises of an error counter, and not its fall at a new start", () => {
    const errors = { sensor_errors_receiving: [5, 5, 7, 0, 1], sensor_errors_transmitting: [1, 2, 2, 0, 0] };
    expect(gather([rows(0, errors)], bandOf).sensorErrors).toEqual({ receiving: 3, transmitting: 1 });
  });

  it("calls it rest only when nothing was transmitted in most of an hour", () => {
    const cold = { inlet_celsius: Array<number>(3_600).fill(4), outlet_celsius: Array<number>(3_600).fill(4.5) };
    const { rest } = gather([rows(0, cold)], bandOf);
    expect(rest.outlet.sum / rest.outlet.count).toBeCloseTo(0.5, 9);
    const keyed = { ...cold, transmitting: Array.from({ length: 3_600 }, (_, second) => Number(second === 9)) };
    expect(gather([rows(0, keyed)], bandOf).rest.outlet.count).toBe(0);
  });

  it("times a fan's start from the last standstill to nine tenths of its speed, and leaves out a stall", () => {
    const speeds = [...Array<number>(20).fill(11_000), 0, 0, 4_400, 8_800, 11_000, ...Array<number>(200).fill(11_000)];
    const volts = [...Array<number>(20).fill(12), 0, 12, ...Array<number>(203).fill(12)];
    // Power at second 21; 9900 of 11000 rpm is crossed half way between seconds 23 and 24.
    expect(gather([rows(0, { fan_rpm: speeds, fan_volts: volts })], bandOf).fan.startSeconds).toEqual([2.5]);
    const stalled = [
      ...Array<number>(100).fill(11_000),
      ...Array<number>(90).fill(0),
      ...Array<number>(100).fill(11_000),
    ];
    expect(gather([rows(0, { fan_rpm: stalled })], bandOf).fan.startSeconds).toEqual([]);
  });
});

describe("addDigest", () => {
  const cut = (at: number): HourDigest => {
    const part = (from: number, to: number) =>
      Object.fromEntries(Object.entries(EVENING).map(([name, values]) => [name, values.slice(from, to)]));
    const sum = emptyDigest();
    addDigest(sum, gather([rows(0, part(0, at))], bandOf), false);
    addDigest(sum, gather([rows(at, part(at, 10))], bandOf), true);
    return sum;
  };

  it.each([1, 2, 3, 4, 5, 6, 7, 8, 9])("cut behind second %i the parts add up to the whole", (at) => {
    const [whole, sum] = [gather([rows(0, EVENING)], bandOf), cut(at)];
    expect(summaryOf(sum)).toEqual(summaryOf(whole));
  });

  it("hours with a gap between them hold two overs", () => {
    const keyed = gather([rows(0, { transmitting: [1, 1] })], bandOf);
    const sum = emptyDigest();
    addDigest(sum, keyed, false);
    addDigest(sum, keyed, false);
    expect(sum.overs).toBe(2);
  });
});
