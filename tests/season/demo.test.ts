// The demo season: the same each time, marked as made up, planted in an empty simulated log only, and a season to look at.

import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { plantDemoSeason } from "../../daemon/demo-season.ts";
import { readHistory } from "../../daemon/season/history.ts";
import { digestsBetween } from "../../daemon/season/hours.ts";
import { SeasonLog } from "../../daemon/season/log.ts";
import { recordPage } from "../../daemon/season/record-page.ts";
import { sourcesOf } from "../../daemon/season/records.ts";
import { fileBytes } from "../../daemon/season/retention.ts";
import { reviewSeason } from "../../daemon/season/review/season.ts";
import { verifySeason } from "../../daemon/season/verify.ts";
import { RECORD_KINDS } from "../../daemon/wire/alarm.ts";
import type { Clock } from "../../hardware/ports.ts";
import { plainBeat, plainEntry } from "../support/beat.ts";
import { testFolder, testFolderPath } from "../support/folder.ts";

const NOW = 1_790_000_000;
const NOON = { seconds: 20, wallSeconds: NOW, wallTrusted: true };
const atOnce: Clock = {
  bootId: "b",
  monotonicSeconds: () => 0,
  wallSeconds: () => NOW,
  wallIsTrusted: () => true,
  after: (_seconds, task) => {
    queueMicrotask(task);
    return () => undefined;
  },
};
const open = (folder: string): SeasonLog =>
  new SeasonLog(
    {
      file: join(folder, "simulated.db"),
      run: { key: "r", bootId: "b", version: "0", simulated: true },
      retention: { keepSeconds: 1e9, mostBytes: 1e9 },
      bandOf: () => null,
    },
    0,
  );

async function planted(folder = testFolder()): Promise<SeasonLog> {
  const log = open(folder);
  await plantDemoSeason(log, "0", atOnce);
  return log;
}

let season: SeasonLog;
const shared = testFolderPath();

beforeAll(async () => {
  season = await planted(shared.folder);
});
afterAll(() => {
  season.close(1);
  shared.remove();
});

describe("the demo season", () => {
  it("is full: days, bands, contests, wear with its cause", () => {
    const log = season;
    const review = reviewSeason(log.database, {
      name: "Orchard gate",
      fromSeconds: NOW - 300 * 86_400,
      toSeconds: NOW,
      utcOffsetSeconds: -8 * 3_600,
      limitCelsius: 110,
      alarms: { flow_factor: 0.7, loss_factor: 1.4 },
      bandOf: () => null,
    });
    expect(review).toMatchObject({ demo: true, simulated: true });
    expect(review.days.length).toBeGreaterThanOrEqual(240);
    expect(review.days.every(({ demo }) => demo)).toBe(true);
    expect(review.sessions.filter(({ kind }) => kind === "contest")).toHaveLength(3);
    expect(review.total.bands.map(({ band }) => band)).toEqual(["80 m", "40 m", "20 m", "15 m"]);
    expect(review.total.peak_core_celsius).toBeLessThan(110);
    const fan = review.wear.find(({ quantity }) => quantity === "fan_rpm_per_volt")!;
    expect(fan.steps.map(({ attributed_to }) => attributed_to)).toEqual([expect.stringContaining("New fan")]);
    const { series } = readHistory(log.database, {
      fromSeconds: NOW - 240 * 86_400,
      toSeconds: NOW,
      points: 1_000,
      series: ["core_celsius"],
    });
    expect(series["core_celsius"]!.length).toBeGreaterThan(900);
    expect(verifySeason(log.database).faults).toEqual([]);
    // It ships as a program, not as data: the file it makes is about what a fortnight of seconds takes.
    expect(fileBytes(log.database).used).toBeLessThan(16e6);
  });

  it("is the same each time", async () => {
    const other = await planted();
    const of = (log: SeasonLog) => digestsBetween(log.database, 0, 2 ** 31);
    expect(of(other)).toEqual(of(season));
    other.close(1);
  });

  it("never comes into a log that has anything in it", async () => {
    const log = open(testFolder());
    log.take([plainBeat(1)], [], null, NOON);
    await plantDemoSeason(log, "0", atOnce);
    expect(sourcesOf(log.database).demo).toBe(false);
    log.close(1);
  });

  it("puts its lines of the record before the first of today, which is entered before the season is written", () => {
    const log = open(testFolder());
    void plantDemoSeason(log, "0", { ...atOnce, after: () => () => undefined });
    log.take([], [{ ...plainEntry(1), kind: "note", wallSeconds: NOW }], null, NOON);
    const { lines } = recordPage(log.database, { before: null, lines: 50, kinds: RECORD_KINDS });
    expect(lines.map(({ by }) => by === "demo")).toEqual([false, true, true, true, true, true]);
    const times = lines.map(({ wall_seconds }) => wall_seconds);
    expect(times).toEqual(times.toSorted((one, other) => other - one));
    log.close(1);
  });

  it("stands beside live rows, which it does not mark", () => {
    const log = season;
    log.take([plainBeat(1)], [], null, { seconds: 20, wallSeconds: NOW + 1, wallTrusted: true });
    const found = log.history({
      fromSeconds: NOW - 10 * 3_600,
      toSeconds: NOW + 10,
      points: 1_000,
      series: ["fan_rpm"],
    });
    expect(found.series["fan_rpm"]!.at(-1)).toEqual([NOW + 1, 11_000, 11_000]);
  });
});
