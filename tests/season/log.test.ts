// The log on a real disk: batches, crashes, a full or read-only disk, two daemons, a restart that draws what was before.

import { execFileSync } from "node:child_process";
import { mkdirSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { FileInUse, isInUse } from "../../daemon/season/lock.ts";
import { type Now, SeasonLog, type SeasonLogOptions } from "../../daemon/season/log.ts";
import { plainBeat, plainEntry } from "../support/beat.ts";
import { testFolder } from "../support/folder.ts";

const RUN = { key: "run-1", bootId: "boot-1", version: "0.0.0", simulated: true };
const RETENTION = { keepSeconds: 86_400, mostBytes: 100e6 };

const optionsIn = (folder: string, key = RUN.key): SeasonLogOptions => ({
  file: join(folder, "season.db"),
  run: { ...RUN, key },
  retention: RETENTION,
});
const at = (seconds: number): Now => ({ seconds, wallSeconds: 1_790_000_000 + seconds, wallTrusted: true });
const beats = (from: number, to: number) =>
  Array.from({ length: to - from + 1 }, (_, index) => plainBeat(from + index, 50 + from + index));
const history = (log: SeasonLog, from: number, to: number, points = 1000) =>
  log.history(
    {
      fromSeconds: 1_790_000_000 + from,
      toSeconds: 1_790_000_000 + to,
      points,
      series: ["core_celsius", "power_stage"],
    },
    0,
  ).series;

function rowsOn(folder: string, table = "instant"): number {
  const database = new Database(join(folder, "season.db"), { readonly: true });
  const { count } = database.prepare<[], { count: number }>(`SELECT count(*) AS count FROM ${table}`).get() ?? {
    count: -1,
  };
  database.close();
  return count;
}

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
    expect(rowsOn(folder, "entry")).toBe(1);
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
    expect(rowsOn(folder, "measured")).toBe(7);
    expect(rowsOn(folder, "entry")).toBe(2);
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
  it("stands apart, with the code of a bad reading and nothing in place of its number", () => {
    const folder = testFolder();
    const log = new SeasonLog(optionsIn(folder), 0);
    log.take(beats(1, 1), [], null, at(20));
    log.close(21);
    const database = new Database(join(folder, "season.db"), { readonly: true });
    expect(database.prepare("SELECT * FROM measured").get()).toMatchObject({
      inlet_celsius: 20,
      ambient_celsius: null,
      codes: '{"ambient":"NACK"}',
      mode: "CW",
      transmitting: 1,
      relay_readback: 3,
    });
    expect(database.prepare("SELECT * FROM believed").get()).toMatchObject({
      core_celsius: 51,
      headroom_seconds: 340.4,
    });
    expect(database.prepare("SELECT * FROM done").get()).toMatchObject({ power_stage: 0, relay_permit: 3 });
    expect(database.prepare("SELECT * FROM instant").get()).toMatchObject({
      monotonic_seconds: 101,
      wall_seconds: 1_790_000_001,
      wall_trusted: 1,
    });
    database.close();
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

  it("that fills up while running loses nothing that was not persisted", () => {
    const folder = testFolder();
    const log = new SeasonLog(optionsIn(folder), 0);
    log.take(beats(1, 2), [plainEntry(1)], null, at(1));
    // SQLite's own limit stands for the disk's: the same error, SQLITE_FULL.
    const database = new Database(join(folder, "season.db"));
    database.exec(
      "CREATE TRIGGER full BEFORE INSERT ON instant BEGIN SELECT raise(ABORT, 'database or disk is full'); END",
    );
    database.close();
    log.take(beats(3, 4), [plainEntry(2)], null, at(2));
    expect(log.progress).toMatchObject({ writable: false, persistedRow: 2, acceptedRow: 2, persistedEntry: 1 });
    expect(log.progress.trouble).toContain("full");
    log.close(3);
  });

  it("with a file of a newer program is left alone", () => {
    const folder = testFolder();
    const database = new Database(join(folder, "season.db"));
    database.pragma("user_version = 99");
    database.close();
    const log = new SeasonLog(optionsIn(folder), 0);
    expect(log.progress.trouble).toContain("newer program");
    log.close(1);
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
  it("takes out what is too old, and never a line of the record", () => {
    const folder = testFolder();
    const log = new SeasonLog({ ...optionsIn(folder), retention: { keepSeconds: 100, mostBytes: 100e6 } }, 0);
    log.take(beats(1, 1000), [plainEntry(1)], null, at(1000));
    log.close(1001);
    expect(rowsOn(folder)).toBe(101);
    expect(rowsOn(folder, "believed")).toBe(101);
    expect(rowsOn(folder, "entry")).toBe(1);
  });

  it("takes out the oldest when the file grows too large", () => {
    const folder = testFolder();
    const log = new SeasonLog({ ...optionsIn(folder), retention: { keepSeconds: 1e9, mostBytes: 400_000 } }, 0);
    log.take(beats(1, 8000), [], null, at(8000));
    log.close(8001);
    expect(rowsOn(folder)).toBe(3000);
  });

  it("does nothing by a clock that was never set", () => {
    const folder = testFolder();
    const log = new SeasonLog({ ...optionsIn(folder), retention: { keepSeconds: 1, mostBytes: 100e6 } }, 0);
    log.take(beats(1, 1000), [], null, { ...at(1000), wallTrusted: false });
    log.close(1001);
    expect(rowsOn(folder)).toBe(1000);
  });
});
