// The log on a real disk: batches, crashes, a full or read-only disk, two daemons, a restart that draws what was before.

import { execFileSync } from "node:child_process";
import { mkdirSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { COLUMNS } from "../../daemon/season/columns.ts";
import { checkpointIn, openReadOnly } from "../../daemon/season/connection.ts";
import { keptBeside } from "../../daemon/season/keepsake.ts";
import { FileInUse, isInUse } from "../../daemon/season/lock.ts";
import { type Now, SeasonLog, type SeasonLogOptions } from "../../daemon/season/log.ts";
import { fileBytes } from "../../daemon/season/retention.ts";
import { readRows } from "../../daemon/season/rows.ts";
import { NewerSchema } from "../../daemon/season/schema.ts";
import { hourOf } from "../../daemon/season/segment.ts";
import { plainBeat, plainEntry } from "../support/beat.ts";
import { testFolder } from "../support/folder.ts";

const RUN = { key: "run-1", bootId: "boot-1", version: "0.0.0", simulated: true };
const RETENTION = { keepSeconds: 86_400, mostBytes: 100e6 };

const optionsIn = (folder: string, key = RUN.key): SeasonLogOptions => ({
  file: join(folder, "season.db"),
  run: { ...RUN, key },
  retention: RETENTION,
  bandOf: () => "40 m",
});
const at = (seconds: number): Now => ({ seconds, wallSeconds: 1_790_000_000 + seconds, wallTrusted: true });
const beats = (from: number, to: number) =>
  Array.from({ length: to - from + 1 }, (_, index) => plainBeat(from + index, 50 + from + index));
const history = (log: SeasonLog, from: number, to: number, points = 1000) =>
  log.history({
    fromSeconds: 1_790_000_000 + from,
    toSeconds: 1_790_000_000 + to,
    points,
    series: ["core_celsius", "power_stage"],
  }).series;

function reading<Result>(folder: string, read: (database: Database.Database) => Result): Result {
  const database = openReadOnly(join(folder, "season.db"));
  try {
    return read(database);
  } finally {
    database.close();
  }
}

const COLUMN_NAMES = COLUMNS.map(({ name }) => name);
/** What another start would begin from. */
const leftIn = (folder: string): string | null =>
  keptBeside(join(folder, "season.db")) ?? reading(folder, checkpointIn);
const rowsOn = (folder: string): number =>
  reading(folder, (database) => [...readRows(database, COLUMN_NAMES, 0, 2e9)].length);
const entriesOn = (folder: string): number =>
  reading(folder, (database) => database.prepare<[], number>("SELECT count(*) FROM entry").pluck().get() ?? -1);

describe("commits", () => {
  it("rows wait for ten seconds, and one transaction takes them", () => {
    const folder = testFolder();
    const log = new SeasonLog(optionsIn(folder), 0);
    for (let second = 1; second <= 9; second += 1) log.take(beats(second, second), [], null, at(second));
    expect(rowsOn(folder)).toBe(0);
    expect(log.progress).toMatchObject({ acceptedRow: 9, persistedRow: 0, writable: true });
    log.take(beats(10, 10), [], null, at(10));
    expect(rowsOn(folder)).toBe(10);
    expect(log.progress).toMatchObject({ acceptedRow: 10, persistedRow: 10 });
    log.close(11);
  });

  it("an entry of the record is on the disk at once", () => {
    const folder = testFolder();
    const log = new SeasonLog(optionsIn(folder), 0);
    log.take(beats(1, 1), [plainEntry(1)], null, at(1));
    expect(entriesOn(folder)).toBe(1);
    expect(log.progress).toMatchObject({ persistedRow: 1, persistedEntry: 1 });
    log.close(2);
  });

  it("what is sent twice is stored once", () => {
    const folder = testFolder();
    const log = new SeasonLog(optionsIn(folder), 0);
    log.take(beats(1, 5), [plainEntry(1)], null, at(1));
    log.take(beats(3, 7), [plainEntry(1), plainEntry(2)], null, at(2));
    log.close(3);
    expect(rowsOn(folder)).toBe(7);
    expect(entriesOn(folder)).toBe(2);
  });

  it("closing commits what waits", () => {
    const folder = testFolder();
    const log = new SeasonLog(optionsIn(folder), 0);
    log.take(beats(1, 3), [], '{"kept":1}', at(1));
    log.close(2);
    expect(rowsOn(folder)).toBe(3);
    const again = new SeasonLog(optionsIn(folder, "run-2"), 3);
    expect(again.checkpoint()).toBe('{"kept":1}');
    again.close(4);
  });

  it("what the last run left is read also where the log cannot be opened for writing", () => {
    const folder = testFolder();
    const options = optionsIn(folder);
    const log = new SeasonLog(options, 0);
    log.take(beats(1, 3), [], '{"tripped":true}', at(1));
    log.close(2);
    rmSync(`${options.file}.lock`, { force: true });
    mkdirSync(`${options.file}.lock`);
    const again = new SeasonLog(optionsIn(folder, "run-2"), 3);
    expect(again.progress.writable).toBe(false);
    expect(again.checkpoint()).toBe('{"tripped":true}');
    again.close(4);
  });

  it("a file that cannot be read is no file without a checkpoint", () => {
    const folder = testFolder();
    writeFileSync(optionsIn(folder).file, "no database at all, but something was left here".repeat(40));
    const log = new SeasonLog(optionsIn(folder), 0);
    expect(log.progress.writable).toBe(false);
    expect(() => log.checkpoint()).toThrow("not a database");
    log.close(1);
  });

  it("the same run goes on where it was; another begins at nothing", () => {
    const folder = testFolder();
    const log = new SeasonLog(optionsIn(folder), 0);
    log.take(beats(1, 4), [plainEntry(1)], null, at(1));
    log.close(2);
    const same = new SeasonLog(optionsIn(folder), 3);
    expect(same.progress).toMatchObject({ persistedRow: 4, persistedEntry: 1 });
    same.close(4);
    const other = new SeasonLog(optionsIn(folder, "run-2"), 5);
    expect(other.progress).toMatchObject({ persistedRow: 0, persistedEntry: 0 });
    other.close(6);
  });
});

describe("what was measured, believed and done", () => {
  it("comes back by name, with the code of a bad reading and nothing in place of its number", () => {
    const folder = testFolder();
    const log = new SeasonLog(optionsIn(folder), 0);
    log.take(beats(1, 1), [], null, at(20));
    log.close(21);
    const [row] = reading(folder, (database) => [...readRows(database, COLUMN_NAMES, 0, 2e9)]);
    expect(row).toMatchObject({ dateSeconds: 1_790_000_001, monotonicSeconds: 101, trusted: true });
    expect(Object.fromEntries(COLUMN_NAMES.map((name, index) => [name, row?.cells[index]]))).toMatchObject({
      inlet_celsius: 20,
      ambient_celsius: null,
      codes: '{"ambient":"NACK"}',
      mode: "CW",
      transmitting: 1,
      relay_readback: 3,
      core_celsius: 51,
      headroom_seconds: 340,
      fan: "turning",
      power_stage: 0,
      relay_permit: 3,
    });
  });
});

describe("history", () => {
  it("gives every second while there are few, also those not committed yet and those of an earlier run", () => {
    const folder = testFolder();
    const before = new SeasonLog(optionsIn(folder), 0);
    before.take(beats(1, 3), [], null, at(1));
    before.close(2);
    const log = new SeasonLog(optionsIn(folder, "run-2"), 3);
    log.take(beats(10, 11), [], null, at(4));
    const { core_celsius: core } = history(log, 0, 20);
    expect(core).toEqual([1, 2, 3, 10, 11].map((second) => [1_790_000_000 + second, 50 + second, 50 + second]));
    log.close(12);
  });

  it("thins to the points asked for and loses no peak", () => {
    const folder = testFolder();
    const log = new SeasonLog(optionsIn(folder), 0);
    const rows = Array.from({ length: 1000 }, (_, index) => plainBeat(index + 1, index + 1 === 777 ? 109 : 60));
    log.take(rows, [], null, at(20));
    const { core_celsius: core } = history(log, 0, 1000, 10);
    expect(core).toHaveLength(10);
    expect(core?.map(([, , max]) => max).filter((max) => max === 109)).toHaveLength(1);
    expect(core?.every(([, min]) => min === 60)).toBe(true);
    log.close(21);
  });

  it("leaves a gap a gap", () => {
    const folder = testFolder();
    const log = new SeasonLog(optionsIn(folder), 0);
    log.take([...beats(1, 9), ...beats(91, 99)], [], null, at(20));
    const { core_celsius: core } = history(log, 0, 100, 10);
    expect(core).toHaveLength(2);
    log.close(21);
  });
});

describe("a disk that does not want to", () => {
  it("that cannot be written stops the log, keeps nothing half, and is tried again", () => {
    const folder = join(testFolder(), "data");
    // A file where the folder should be: no permission bit stops root, this does.
    writeFileSync(folder, "in the way");
    const log = new SeasonLog(optionsIn(folder), 0);
    expect(log.progress).toMatchObject({ writable: false, acceptedRow: 0 });
    expect(log.progress.trouble).not.toBeNull();
    log.take(beats(1, 3), [plainEntry(1)], null, at(1));
    expect(log.progress).toMatchObject({ writable: false, acceptedRow: 0, persistedEntry: 0 });
    expect(() => history(log, 0, 10)).toThrow();
    rmSync(folder);
    mkdirSync(folder);
    log.take(beats(1, 3), [plainEntry(1)], null, at(5));
    expect(log.progress.writable).toBe(false);
    log.take(beats(1, 3), [plainEntry(1)], null, at(11));
    expect(log.progress).toMatchObject({ writable: true, persistedRow: 3, persistedEntry: 1, trouble: null });
    log.close(12);
  });

  it("that fills up while running loses nothing that was persisted, and goes on when there is room again", () => {
    const folder = testFolder();
    const log = new SeasonLog(optionsIn(folder), 0);
    log.take(beats(1, 2), [plainEntry(1)], null, at(1));
    // The most pages a file may have stands for the disk's size: the same error, SQLITE_FULL.
    log.database.pragma(`max_page_count = ${log.database.pragma("page_count", { simple: true })}`);
    const many = Array.from({ length: 400 }, (_, index) => plainEntry(2 + index));
    log.take(beats(3, 4), many, null, at(2));
    expect(log.progress).toMatchObject({ writable: false, persistedRow: 2, acceptedRow: 2, persistedEntry: 1 });
    expect(log.progress.trouble).toContain("full");
    log.take(beats(3, 4), many, null, at(20));
    expect(log.progress).toMatchObject({ writable: true, persistedRow: 4, persistedEntry: 401, trouble: null });
    log.close(21);
    expect(rowsOn(folder)).toBe(4);
  });

  it("that is full keeps the newest checkpoint for the next start all the same, and the log takes it back", () => {
    const folder = testFolder();
    const log = new SeasonLog(optionsIn(folder), 0);
    log.take(beats(1, 2), [plainEntry(1)], "before", at(1));
    const fill = () => log.database.pragma(`max_page_count = ${log.database.pragma("page_count", { simple: true })}`);
    fill();
    const many = Array.from({ length: 400 }, (_, index) => plainEntry(2 + index));
    log.take(beats(3, 4), many, "tripped", at(2));
    expect(log.progress.writable).toBe(false);
    expect(log.checkpoint()).toBe("tripped");
    log.take([], [], "tripped and seen", at(3));
    // The file as a power cut leaves it.
    expect(leftIn(folder)).toBe("tripped and seen");
    log.take(beats(3, 4), many, null, at(20));
    expect(log.progress.writable).toBe(true);
    expect(leftIn(folder)).toBe("tripped and seen");
    log.take(beats(5, 5), [plainEntry(500)], "reset", at(21));
    expect(keptBeside(join(folder, "season.db"))).toBeNull();
    expect(leftIn(folder)).toBe("reset");
    log.close(22);
  });

  it("that is full at the end keeps what came last", () => {
    const folder = testFolder();
    const log = new SeasonLog(optionsIn(folder), 0);
    log.take(beats(1, 2), [plainEntry(1)], "before", at(1));
    log.database.pragma(`max_page_count = ${log.database.pragma("page_count", { simple: true })}`);
    log.take(beats(3, 800), [], "tripped", at(2));
    log.close(3);
    expect(leftIn(folder)).toBe("tripped");
  });

  it("with a file of a newer program is no trouble to live with: what it tells of a trip cannot be read", () => {
    const folder = testFolder();
    const database = new Database(join(folder, "season.db"));
    database.pragma("user_version = 99");
    database.close();
    expect(() => new SeasonLog(optionsIn(folder), 0)).toThrow(NewerSchema);
  });
});

describe("two daemons", () => {
  it("in two processes cannot have one log; the second is told", () => {
    const folder = testFolder();
    const log = new SeasonLog(optionsIn(folder), 0);
    const script = `import { isInUse } from ${JSON.stringify(new URL("../../dist/daemon/season/lock.js", import.meta.url).href)};
      process.stdout.write(String(isInUse(${JSON.stringify(join(folder, "season.db"))})));`;
    const ask = (): string =>
      execFileSync(process.execPath, ["--input-type=module", "-e", script], { encoding: "utf8" });
    expect(ask()).toBe("true");
    log.close(1);
    expect(ask()).toBe("false");
  });

  it("in one process neither", () => {
    const folder = testFolder();
    const log = new SeasonLog(optionsIn(folder), 0);
    expect(() => new SeasonLog(optionsIn(folder, "run-2"), 0)).toThrow(FileInUse);
    expect(isInUse(join(folder, "season.db"))).toBe(true);
    log.close(1);
    expect(isInUse(join(folder, "season.db"))).toBe(false);
  });
});

describe("retention", () => {
  const HOUR = 3_600;

  /** Such as cannot be packed small. */
  function noisyBeats(count: number): ReturnType<typeof beats> {
    let noise = 1;
    return Array.from({ length: count }, (_, index) => {
      noise = (noise * 48_271) % 2_147_483_647;
      return plainBeat(index + 1, 60 + (noise % 4_000) / 100);
    });
  }

  it("takes out whole hours that are too old, keeps their rollups, and never touches a line of the record", () => {
    const folder = testFolder();
    const log = new SeasonLog({ ...optionsIn(folder), retention: { keepSeconds: HOUR, mostBytes: 100e6 } }, 0);
    log.take(beats(1, 4 * HOUR), [plainEntry(1)], null, at(0));
    for (let call = 0; call < 8; call += 1) log.take([], [], null, at(4 * HOUR + 601 * call));
    const before = history(log, 0, HOUR, 20)["core_celsius"];
    log.close(9 * HOUR);
    // The youngest hour that has ended less than an hour ago, and the one that never ended.
    const oldest = hourOf(1_790_000_000 + 4 * HOUR + 601 * 7 - HOUR) * HOUR;
    expect(rowsOn(folder)).toBe(1_790_000_000 + 4 * HOUR - oldest + 1);
    expect(before?.at(-1)?.[2]).toBeGreaterThan(50 + 0.9 * HOUR);
    expect(entriesOn(folder)).toBe(1);
  });

  it("takes out the oldest when the file grows too large, and the curve stays whole", () => {
    const folder = testFolder();
    const large = new SeasonLog(optionsIn(folder), 0);
    const noisy = noisyBeats(6 * HOUR);
    large.take(noisy, [], null, at(0));
    for (let call = 0; call < 8; call += 1) large.take([], [], null, at(call));
    const { used } = fileBytes(large.database);
    large.close(9);
    const mostBytes = used - 10_000;
    const log = new SeasonLog({ ...optionsIn(folder, "run-2"), retention: { keepSeconds: 1e9, mostBytes } }, 0);
    for (let call = 0; call < 8; call += 1) log.take([], [], null, at(6 * HOUR + 601 * call));
    const kept = history(log, 0, 6 * HOUR)["core_celsius"];
    expect(fileBytes(log.database).used).toBeLessThanOrEqual(mostBytes);
    log.close(9 * HOUR);
    expect(rowsOn(folder)).toBeLessThan(6 * HOUR);
    expect(rowsOn(folder)).toBeGreaterThan(0);
    expect(kept?.[0]?.[0]).toBeLessThan(1_790_000_000 + 120);
  });

  it("takes out what was filed first when the file grows too large and nobody knows the date", () => {
    const folder = testFolder();
    const undated = (seconds: number): Now => ({ ...at(seconds), wallTrusted: false });
    const noisy = noisyBeats(6 * HOUR).map((beat) => ({ ...beat, wallTrusted: false }));
    const large = new SeasonLog(optionsIn(folder), 0);
    large.take(noisy, [], null, undated(0));
    for (let call = 0; call < 8; call += 1) large.take([], [], null, undated(call));
    const mostBytes = fileBytes(large.database).used - 10_000;
    large.close(9);
    const log = new SeasonLog({ ...optionsIn(folder, "run-2"), retention: { keepSeconds: 1, mostBytes } }, 0);
    for (let call = 0; call < 8; call += 1) log.take([], [], null, undated(6 * HOUR + 601 * call));
    expect(fileBytes(log.database).used).toBeLessThanOrEqual(mostBytes);
    log.close(9 * HOUR);
    expect(rowsOn(folder)).toBeGreaterThan(4 * HOUR);
    expect(rowsOn(folder)).toBeLessThan(6 * HOUR);
  });

  it("takes nothing for old that stands under a date nobody vouched for", () => {
    const folder = testFolder();
    const log = new SeasonLog({ ...optionsIn(folder), retention: { keepSeconds: HOUR, mostBytes: 100e6 } }, 0);
    const undated = beats(1, 2 * HOUR).map((beat) => ({ ...beat, wallTrusted: false }));
    log.take(undated, [], null, { ...at(0), wallTrusted: false });
    for (let call = 0; call < 4; call += 1) log.take([], [], null, { ...at(1 + call), wallTrusted: false });
    log.close(10);
    // The next boot knows the date, and that of the last boot is a year behind.
    const run = { ...RUN, key: "run-2", bootId: "boot-2" };
    const later = new SeasonLog({ ...optionsIn(folder), run, retention: { keepSeconds: HOUR, mostBytes: 100e6 } }, 0);
    for (let call = 0; call < 4; call += 1) later.take([], [], null, at(31_536_000 + 601 * call));
    later.close(31_540_000);
    expect(rowsOn(folder)).toBe(2 * HOUR);
  });

  it("does nothing by a clock that was never set", () => {
    const folder = testFolder();
    const log = new SeasonLog({ ...optionsIn(folder), retention: { keepSeconds: 1, mostBytes: 100e6 } }, 0);
    log.take(beats(1, 2 * HOUR), [], null, { ...at(1000), wallTrusted: false });
    for (let call = 0; call < 4; call += 1) {
      log.take([], [], null, { ...at(3 * HOUR + 601 * call), wallTrusted: false });
    }
    log.close(9 * HOUR);
    expect(rowsOn(folder)).toBe(2 * HOUR);
  });
});
