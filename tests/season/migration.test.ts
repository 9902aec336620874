// A file of the first schema, stored as it was written then, comes forward whole: rows, dates, record, checkpoint.

import { copyFileSync, mkdirSync, readdirSync, readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { readRows } from "../../daemon/season/rows.ts";
import { keptName, NewerSchema, prepareSchema, SCHEMA_VERSION } from "../../daemon/season/schema.ts";
import { Store } from "../../daemon/season/store.ts";
import { verifySeason } from "../../daemon/season/verify.ts";
import { testFolder } from "../support/folder.ts";
import { OLD_RUNS, oldRow } from "./fixtures/schema-1.ts";

const STORED = fileURLToPath(new URL("./fixtures/schema-1.db", import.meta.url));
const RUN = { key: "new", bootId: "boot-new", version: "0.2.0", simulated: true };

function oldFile(): string {
  const file = join(testFolder(), "season.db");
  copyFileSync(STORED, file);
  return file;
}

describe("a file of schema 1", () => {
  it("comes forward with every row under its own date", () => {
    const store = new Store(oldFile(), RUN, () => "20 m");
    while (store.pack());
    const names = Object.keys(oldRow(1, 1));
    const rows = [...readRows(store.database, names, 0, 2e9)];
    expect(rows).toHaveLength(OLD_RUNS[0].rows + OLD_RUNS[1].rows);
    for (const row of rows) {
      const { wallSeconds, monotonicSeconds, trusted } = OLD_RUNS[row.run - 1]!;
      expect(row.dateSeconds).toBeCloseTo(wallSeconds + row.number, 3);
      expect(row.monotonicSeconds).toBeCloseTo(monotonicSeconds + row.number, 3);
      expect(row.trusted).toBe(trusted);
      const was = oldRow(row.run, row.number);
      names.forEach((name, index) => {
        const [before, after] = [was[name], row.cells[index]];
        if (typeof before === "number") expect(after).toBeCloseTo(before, 2);
        else expect(after).toBe(before);
      });
    }
    store.close();
  });

  it("is a whole log of the new schema, with its record, checkpoint and rollups", () => {
    const store = new Store(oldFile(), RUN, () => "20 m");
    while (store.pack());
    const one = (sql: string) => store.database.prepare(sql).pluck().all();
    expect(store.database.pragma("user_version", { simple: true })).toBe(SCHEMA_VERSION);
    expect(one("SELECT text FROM entry")).toEqual(["emberwire 0.1.0 started", "emberwire 0.1.0 started"]);
    expect(one("SELECT boot_id FROM run ORDER BY id")).toEqual(["boot-one", "boot-two", "boot-new"]);
    expect(store.checkpoint()).toBe('{"version":1}');
    expect(one("SELECT name FROM sqlite_master WHERE name LIKE 'old_%' OR name = 'instant'")).toEqual([]);
    expect(verifySeason(store.database)).toMatchObject({ faults: [], rows: 300, entries: 2 });
    store.close();
  });

  it("is kept beside as it was, for who goes back", () => {
    const file = oldFile();
    const before = readFileSync(file);
    new Store(file, RUN, () => "20 m").close();
    const kept = new Database(keptName(file, 1), { readonly: true });
    expect(kept.pragma("user_version", { simple: true })).toBe(1);
    expect(kept.prepare("SELECT count(*) FROM instant").pluck().get()).toBe(300);
    kept.close();
    expect(readFileSync(keptName(file, 1)).length).toBe(before.length);
    new Store(file, { ...RUN, key: "again" }, () => "20 m").close();
    expect(readdirSync(dirname(file)).filter((name) => name.endsWith("schema-1"))).toEqual(["season.db.schema-1"]);
  });

  it("stays as it was when there is no room for the copy", () => {
    const file = oldFile();
    mkdirSync(`${keptName(file, 1)}.part`);
    expect(() => new Store(file, RUN, () => "20 m")).toThrow();
    const untouched = new Database(file, { readonly: true });
    expect(untouched.pragma("user_version", { simple: true })).toBe(1);
    untouched.close();
  });

  it("stays as it was when bringing it forward fails half way", () => {
    const file = oldFile();
    const broken = new Database(file);
    broken.exec("DROP TABLE done");
    expect(() => prepareSchema(broken)).toThrow("done");
    expect(broken.pragma("user_version", { simple: true })).toBe(1);
    expect(broken.prepare("SELECT count(*) FROM instant").pluck().get()).toBe(300);
    broken.close();
  });

  it("of a program yet to come is refused", () => {
    const file = oldFile();
    const database = new Database(file);
    database.pragma("user_version = 999");
    expect(() => prepareSchema(database)).toThrow(NewerSchema);
    database.close();
  });
});
