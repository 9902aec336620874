// A machine without a clock chip: rows written under a wrong date get their true one once the clock is set, within the boot.

import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { digestsBetween } from "../../daemon/season/hours.ts";
import { readRows } from "../../daemon/season/rows.ts";
import { hourOf } from "../../daemon/season/segment.ts";
import { Store } from "../../daemon/season/store.ts";
import { verifySeason } from "../../daemon/season/verify.ts";
import { plainBeat, plainEntry } from "../support/beat.ts";
import { testFolder } from "../support/folder.ts";

/** Monotonic second 100 of `plainBeat` is this date in truth. */
const TRUTH = 1_790_000_000;
/** What the clock says before it is set: a day in 2024. */
const WRONG = 1_710_000_000;

const store = (folder: string, key = "run", bootId = "boot"): Store =>
  new Store(join(folder, "season.db"), { key, bootId, version: "0", simulated: true }, () => "40 m");
const beat = (number: number, wallSeconds: number, wallTrusted: boolean) => ({
  ...plainBeat(number),
  wallSeconds,
  wallTrusted,
});
const span = (from: number, to: number, origin: number, trusted: boolean) =>
  Array.from({ length: to - from + 1 }, (_, index) => beat(from + index, origin + from + index, trusted));
const datesIn = (log: Store) =>
  [...readRows(log.database, ["core_celsius"], 0, 2e9)].map((row) => ({ ...row, cells: [] }));

describe("re-dating", () => {
  it("moves packed hours, loose rows and the record, and leaves nothing at the wrong date", () => {
    const log = store(testFolder());
    log.write({
      rows: span(1, 8_000, WRONG, false),
      entries: [{ ...plainEntry(1), wallSeconds: WRONG + 5, wallTrusted: false, atSeconds: 105 }],
      checkpoint: null,
    });
    while (log.pack());
    expect(digestsBetween(log.database, hourOf(WRONG), hourOf(WRONG + 8_000)).length).toBeGreaterThan(0);
    log.write({ rows: span(8_001, 8_100, TRUTH, true), entries: [], checkpoint: null });
    while (log.pack());
    const rows = datesIn(log);
    expect(rows.map(({ dateSeconds }) => Math.round(dateSeconds))).toEqual(
      Array.from({ length: 8_100 }, (_, index) => TRUTH + index + 1),
    );
    expect(rows.every(({ trusted }) => trusted)).toBe(true);
    expect(digestsBetween(log.database, hourOf(WRONG), hourOf(WRONG + 8_000))).toEqual([]);
    const hours = digestsBetween(log.database, hourOf(TRUTH), hourOf(TRUTH + 8_100));
    const packed = hours.reduce((sum, { digest }) => sum + digest.seconds, 0);
    expect(packed).toBeGreaterThanOrEqual(3_600);
    expect(log.database.prepare("SELECT wall_seconds, wall_trusted FROM entry").raw().get()).toEqual([TRUTH + 5, 1]);
    expect(verifySeason(log.database).faults).toEqual([]);
    log.close();
  });

  it("finds its own boot's rows after the daemon was started again, and no other boot's", () => {
    const folder = testFolder();
    const other = store(folder, "elsewhen", "another boot");
    other.write({ rows: span(1, 50, WRONG, false), entries: [], checkpoint: null });
    other.close();
    const first = store(folder, "first");
    first.write({ rows: span(1, 50, WRONG, false), entries: [], checkpoint: null });
    first.close();
    const second = store(folder, "second");
    second.write({ rows: span(60, 70, TRUTH, true), entries: [], checkpoint: null });
    const rows = datesIn(second);
    expect(rows.filter(({ trusted }) => !trusted)).toHaveLength(50);
    expect(rows.filter(({ trusted }) => trusted).map(({ dateSeconds }) => Math.round(dateSeconds) - TRUTH)).toEqual([
      ...Array.from({ length: 50 }, (_, index) => index + 1),
      ...Array.from({ length: 11 }, (_, index) => index + 60),
    ]);
    second.close();
  });

  it("keeps rows apart while the wrong clock jumps about, in order of the clock that never jumps", () => {
    const log = store(testFolder());
    log.write({
      rows: [...span(1, 20, WRONG, false), ...span(21, 40, WRONG - 90_000, false), ...span(41, 60, WRONG + 5, false)],
      entries: [],
      checkpoint: null,
    });
    expect(datesIn(log)).toHaveLength(60);
    log.write({ rows: span(61, 61, TRUTH, true), entries: [], checkpoint: null });
    expect(datesIn(log).map(({ dateSeconds }) => Math.round(dateSeconds) - TRUTH)).toEqual(
      Array.from({ length: 61 }, (_, index) => index + 1),
    );
    log.close();
  });
});
