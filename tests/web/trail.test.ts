// The half hour behind the chart: bounded, ordered, and no peak lost on the way.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { minuteRows } from "../../web/chart/trail-table.ts";
import {
  BUCKET_SECONDS,
  EMPTY_TRAIL,
  heaviestDriveWatts,
  operating,
  shownSeconds,
  TRAIL_SECONDS,
  type Trail,
  transmissions,
  withFrame,
  withHistory,
} from "../../web/trail.ts";
import { bad, estimated, frameWith, good } from "./frames.ts";

const at = (seconds: number, core: number, watts = 0) =>
  frameWith({ at_seconds: seconds, quantities: { core_celsius: estimated(core), drive_watts: good(watts) } });

describe("the trail", () => {
  it("keeps every extreme of whatever came, in bounded room", () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: -40, max: 200, noNaN: true }), { minLength: 1, maxLength: 600, size: "max" }),
        (cores) => {
          const start = 1000;
          let trail: Trail = EMPTY_TRAIL;
          cores.forEach((core, second) => {
            trail = withFrame(trail, at(start + second, core));
          });
          const kept = trail.core_celsius;
          expect(kept.length).toBeLessThanOrEqual(TRAIL_SECONDS / BUCKET_SECONDS + 1);
          const oldest = kept[0]?.[0] ?? start;
          const within = cores.filter((_, second) => start + second >= oldest);
          expect(Math.max(...kept.map(([, , high]) => high))).toBe(Math.max(...within));
          expect(Math.min(...kept.map(([, low]) => low))).toBe(Math.min(...within));
          expect(kept.map(([second]) => second)).toEqual([...kept.map(([second]) => second)].sort((a, b) => a - b));
        },
      ),
      { numRuns: 25, seed: 7 },
    );
  });

  it("stays bounded however long the page is open, and forgets what is older than the chart", () => {
    let trail: Trail = EMPTY_TRAIL;
    for (let second = 0; second < 3 * TRAIL_SECONDS; second += 1) {
      trail = withFrame(trail, at(second, second === 10 ? 190 : 40 + (second % 7)));
    }
    expect(trail.core_celsius).toHaveLength(TRAIL_SECONDS / BUCKET_SECONDS + 1);
    expect(Math.max(...trail.core_celsius.map(([, , high]) => high))).toBe(46);
  });

  it("leaves a hole where a reading was bad", () => {
    let trail = withFrame(EMPTY_TRAIL, at(100, 50));
    const broken = frameWith({ at_seconds: 200, quantities: { core_celsius: bad("NACK") } });
    trail = withFrame(withFrame(trail, broken), at(300, 51));
    expect(trail.core_celsius.map(([second]) => second)).toEqual([99, 300]);
  });

  it("begins anew when time runs backwards: another boot", () => {
    const trail = withFrame(withFrame(EMPTY_TRAIL, at(9000, 80)), at(12, 20));
    expect(trail.core_celsius).toEqual([[12, 20, 20]]);
  });

  it("puts history before what was seen live, and lets the live bucket stand", () => {
    const live = withFrame(EMPTY_TRAIL, at(1000, 70));
    const history = {
      from_seconds: 900,
      to_seconds: 1000,
      series: {
        core_celsius: [
          [900, 40, 44],
          [901.5, 41, 99],
          [1001, 0, 0],
        ] as const,
      },
    };
    expect(withHistory(live, history, 1000).core_celsius).toEqual([
      [900, 40, 99],
      [999, 70, 70],
    ]);
  });

  it("fills what was not seen live from history fetched later", () => {
    const live = withFrame(withFrame(EMPTY_TRAIL, at(900, 70)), at(930, 72));
    const history = {
      from_seconds: 890,
      to_seconds: 930,
      series: { core_celsius: [900, 915, 930].map((second) => [second, 60, 61] as const) },
    };
    expect(withHistory(live, history, 930).core_celsius).toEqual([
      [900, 70, 70],
      [915, 60, 61],
      [930, 72, 72],
    ]);
  });

  it("joins overs that touch and keeps pauses", () => {
    let trail = EMPTY_TRAIL;
    for (const [second, watts] of [
      [0, 1000],
      [1, 1000],
      [3, 900],
      [4, 900],
      [6, 700],
      [7, 0],
      [9, 0],
      [15, 300],
    ] as const) {
      trail = withFrame(trail, at(second, 50, watts));
    }
    expect(transmissions(trail)).toEqual([
      { from: 0, to: 6, whole: true },
      { from: 6, to: 9, whole: false },
      { from: 15, to: 18, whole: true },
    ]);
    expect(heaviestDriveWatts(trail, 18)).toBe(1000);
    expect(heaviestDriveWatts(trail, 18, 8)).toBe(300);
    expect(heaviestDriveWatts(EMPTY_TRAIL, 18)).toBeNull();
  });

  it("tells stretches of operating from pauses within them", () => {
    const over = (from: number, to: number) => ({ from, to, whole: true });
    expect(operating([over(0, 6), over(30, 36), over(100, 103)], 30)).toEqual([
      { from: 0, to: 36 },
      { from: 100, to: 103 },
    ]);
    expect(operating([])).toEqual([]);
  });

  it("shows a young log on a short axis, and half an hour at most", () => {
    let trail = withFrame(EMPTY_TRAIL, at(3000, 50));
    const shown = [3000, 3300, 3301, 3900, 4000, 9000].map((now) => shownSeconds(trail, now));
    expect(shown).toEqual([300, 300, 600, 1200, 1200, 1800]);
    trail = withFrame(trail, at(20_000, 50));
    expect(shownSeconds(trail, 20_000)).toBe(300);
  });

  it("has a table twin with the highest value of each minute of the wall clock", () => {
    let trail = EMPTY_TRAIL;
    for (const [second, core] of [
      [100, 50],
      [110, 58],
      [130, 52],
    ] as const)
      trail = withFrame(trail, at(second, core));
    // With the wall clock 30 s ahead, its minutes begin at 90 s and 150 s of the daemon's own.
    const rows = minuteRows(withFrame(trail, at(155, 47)), 30);
    expect(rows.map(({ atSeconds, core_celsius }) => [atSeconds, core_celsius])).toEqual([
      [150, 47],
      [90, 58],
    ]);
  });
});
