// Charts over any span: the same peak is in every resolution, and never more points than asked for.

import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { readHistory } from "../../daemon/season/history.ts";
import { prune } from "../../daemon/season/retention.ts";
import { HOUR_SECONDS } from "../../daemon/season/segment.ts";
import { Store } from "../../daemon/season/store.ts";
import type { History } from "../../daemon/wire/frame.ts";
import { plainBeat } from "../support/beat.ts";
import { testFolderPath } from "../support/folder.ts";

const FIRST = 1_790_000_001;
const ROWS = 5 * HOUR_SECONDS;
const PEAK_AT = 9_000;
const { folder, remove } = testFolderPath();
let store: Store;

beforeAll(() => {
  store = new Store(join(folder, "season.db"), { key: "r", bootId: "b", version: "0", simulated: true }, () => null);
  const rows = Array.from({ length: ROWS }, (_, index) => plainBeat(index + 1, index + 1 === PEAK_AT ? 131 : 60));
  store.write({ rows, entries: [], checkpoint: null });
  while (store.pack());
});
afterAll(() => {
  store.close();
  remove();
});

const chart = (spanSeconds: number, points: number): History =>
  readHistory(store.database, {
    fromSeconds: FIRST + PEAK_AT - spanSeconds / 2,
    toSeconds: FIRST + PEAK_AT + spanSeconds / 2,
    points,
    series: ["core_celsius"],
  });

describe.each([
  ["seconds", 4_000, 1_000],
  ["minutes", 16_000, 200],
  ["quarter hours", 400_000, 400],
  ["quarter hours of a year", 31_536_000, 1_000],
])("from %s", (_name, spanSeconds, points) => {
  it("the peak of one second is there, at its place and nowhere else", () => {
    const { series } = chart(spanSeconds, points);
    const found = series["core_celsius"]!;
    const high = found.filter(([, , max]) => max === 131);
    expect(high).toHaveLength(1);
    expect(Math.abs(high[0]![0] - (FIRST - 1 + PEAK_AT))).toBeLessThanOrEqual(Math.max(1, spanSeconds / points, 900));
    expect(found.every(([, min]) => min === 60)).toBe(true);
    expect(found.length).toBeLessThanOrEqual(points);
    expect(found.length).toBeGreaterThan(0);
    const times = found.map(([seconds]) => seconds);
    expect(times).toEqual([...times].sort((one, other) => one - other));
  });
});

describe("after retention took the seconds out", () => {
  it("a span of seconds is answered from what is left, its peak with it", () => {
    while (prune(store.database, { keepSeconds: 1, mostBytes: 1e9 }, FIRST + 10 * ROWS, null));
    const { series } = chart(4_000, 1_000);
    const found = series["core_celsius"]!;
    expect(found.some(([, , max]) => max === 131)).toBe(true);
    expect(found.length).toBeGreaterThan(50);
    expect(found.length).toBeLessThan(80);
  });
});

it("a series that is no column is refused", () => {
  const query = {
    fromSeconds: 0,
    toSeconds: 1,
    points: 1,
    series: ["inlet_celsius; DROP TABLE run" as "inlet_celsius"],
  };
  expect(() => readHistory(store.database, query)).toThrow(RangeError);
});
