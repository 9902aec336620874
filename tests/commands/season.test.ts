// The season's commands on a real log, while its writer has it open: export read back by other readers, backup and restore, verify,
// import, report; and what each refuses.

import { copyFileSync, existsSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { tableFromIPC } from "apache-arrow";
import Database from "better-sqlite3";
import { readParquet } from "parquet-wasm";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { register as backup } from "../../daemon/commands/backup.ts";
import { register as exporting } from "../../daemon/commands/export.ts";
import { register as importing } from "../../daemon/commands/import.ts";
import { register as report } from "../../daemon/commands/report.ts";
import { register as restore } from "../../daemon/commands/restore.ts";
import { register as season } from "../../daemon/commands/season.ts";
import { BadNews } from "../../daemon/exit.ts";
import { readCsv } from "../../daemon/recording/csv.ts";
import { Store } from "../../daemon/season/store.ts";
import { plainBeat, plainEntry } from "../support/beat.ts";
import { testFolder, testFolderPath } from "../support/folder.ts";
import { told } from "./told.ts";

const START = 1_790_000_000;
const ROWS = 9_000;
const { folder, remove } = testFolderPath();
const log = join(folder, "simulated.db");
let store: Store;

const open = (key: string, file = log): Store =>
  new Store(file, { key, bootId: "boot", version: "0", simulated: true }, () => "40 m");

beforeAll(() => {
  store = open("run");
  const rows = Array.from({ length: ROWS }, (_, index) => plainBeat(index + 1, 40 + (index % 50)));
  store.write({ rows, entries: [{ ...plainEntry(1), kind: "note", text: 'rain, "heavy"' }], checkpoint: null });
  while (store.pack());
});
afterAll(() => {
  store.close();
  remove();
});

const csvIn = (file: string): readonly (readonly string[])[] =>
  [...readCsv([readFileSync(file, "utf8")])].map(({ fields }) => fields);

describe("export", () => {
  const out = (name: string): string => join(folder, name);

  it("writes every second as CSV, with units beside it that say it is simulated", async () => {
    const file = out("seconds.csv");
    expect(await told(exporting, ["export", "--data", folder, "--every", "1s", "--out", file])).toMatchObject({
      status: 0,
    });
    const [header, ...rows] = csvIn(file);
    const column = (name: string): number => header!.indexOf(name);
    expect(rows).toHaveLength(ROWS);
    rows.forEach((row, index) => {
      expect(row).toHaveLength(header!.length);
      expect(Number(row[column("date_seconds")])).toBe(START + 1 + index);
      expect(Number(row[column("core_celsius")])).toBe(40 + (index % 50));
    });
    expect(rows[0]![column("codes")]).toBe('{"ambient":"NACK"}');
    expect(rows[0]![column("ambient_celsius")]).toBe("");
    expect(new Set(rows.map((row) => row[column("simulated")]))).toEqual(new Set(["1"]));
    const sidecar = JSON.parse(readFileSync(`${file}.units.json`, "utf8"));
    expect(sidecar).toMatchObject({ simulated: true, demo: false, imported: false, every_seconds: 1 });
    expect(sidecar.columns.map(({ name }: { name: string }) => name)).toEqual(header);
    expect(sidecar.columns.find(({ name }: { name: string }) => name === "fan_rpm").unit).toBe("1/min");
  });

  it.each([
    ["1min", 60],
    ["15min", 900],
  ])("writes least, mean and greatest every %s, packed hours and the hour under way alike", async (every, step) => {
    const file = out(`${every}.csv`);
    await told(exporting, ["export", "--data", folder, "--every", every, "--out", file]);
    const [header, ...rows] = csvIn(file);
    const at = (row: readonly string[], name: string): number => Number(row[header!.indexOf(name)]);
    const dates = rows.map((row) => at(row, "date_seconds"));
    const first = Math.floor((START + 1) / step) * step;
    expect(dates).toEqual(
      Array.from({ length: Math.floor((START + ROWS) / step) - first / step + 1 }, (_, index) => first + index * step),
    );
    const whole = rows.slice(1, -1);
    for (const row of whole) {
      expect(at(row, "min_core_celsius")).toBeGreaterThanOrEqual(40);
      expect(at(row, "max_core_celsius")).toBe(89);
      expect(at(row, "mean_core_celsius")).toBeCloseTo(64.5, step === 60 ? -1.3 : 0);
    }
  });

  it("writes Parquet that Arrow's Rust reader reads as the CSV says", async () => {
    const file = out("seconds.parquet");
    await told(exporting, ["export", "--data", folder, "--every", "1s", "--format", "parquet", "--out", file]);
    await told(exporting, ["export", "--data", folder, "--every", "1s", "--out", out("same.csv")]);
    const [header, ...rows] = csvIn(out("same.csv"));
    const table = tableFromIPC(readParquet(readFileSync(file)).intoIPCStream());
    expect(table.numRows).toBe(ROWS);
    expect(table.schema.fields.map(({ name }) => name)).toEqual(header);
    for (const [index, name] of header!.entries()) {
      const values = table.getChild(name)!;
      for (const row of [0, 1, 4_999, ROWS - 1]) {
        const value: unknown = values.get(row);
        expect(value === null ? "" : String(value)).toBe(rows[row]![index]);
      }
    }
  });

  it.each([
    [["--every", "2s"], '--every: expected 1s, 1min or 15min, got "2s"'],
    [["--format", "xml"], '--format: expected csv or parquet, got "xml"'],
    [["--format", "parquet"], "--out: expected a file, for Parquet, got nothing"],
    [["--from", "yesterday"], "--from: expected a date such as"],
    [["--from", "2026-11-02", "--to", "2026-11-01"], "--to: expected a date after --from"],
    [["--out", "/no/such/place.csv"], "--out: expected a file that can be written"],
  ])("refuses %j in one line", async (flags, line) => {
    const { status, problems } = await told(exporting, ["export", "--data", folder, ...flags]);
    expect(status).toBe(2);
    expect(problems.join("\n")).toContain(line);
    expect(problems).toHaveLength(1);
  });

  it("says where it looked for a log that is not there", async () => {
    const { status, problems } = await told(exporting, ["export", "--data", testFolder()]);
    expect(status).toBe(2);
    expect(problems[0]).toContain("expected a log that the daemon has written");
  });
});

describe("backup, restore and verify", () => {
  it("copy while the writer has the log, and come back", async () => {
    const copy = join(folder, "copy.db");
    expect((await told(backup, ["backup", "--data", folder, "--out", copy])).out).toContain(`${ROWS}`);
    const place = testFolder();
    const later = open("later", join(place, "simulated.db"));
    later.write({ rows: [plainBeat(1)], entries: [], checkpoint: null });
    const inUse = await told(restore, ["restore", copy, "--data", place]);
    expect(inUse).toMatchObject({ status: 2 });
    expect(inUse.problems[0]).toContain("stop it first");
    later.close();
    expect((await told(restore, ["restore", copy, "--data", place])).status).toBe(0);
    expect((await told(season, ["season", "verify", "--data", place])).out).toMatch(/Seconds +9000 in/);
    expect(existsSync(join(place, "simulated.db.before-restore"))).toBe(true);
  });

  it("a damaged copy is bad news, line by line, and is not restored", async () => {
    const copy = join(folder, "damaged.db");
    await told(backup, ["backup", "--data", folder, "--out", copy]);
    const database = new Database(copy);
    const body = database.prepare<[], Buffer>("SELECT body FROM block WHERE id = 1").pluck().get()!;
    body[200]! ^= 1;
    database.prepare("UPDATE block SET body = ? WHERE id = 1").run(body);
    database.close();
    await expect(told(season, ["season", "verify", "--file", copy])).rejects.toThrow(
      new BadNews([`${copy}: block 1: the block's checksum is not that of its bytes`]),
    );
    const place = testFolder();
    await expect(told(restore, ["restore", copy, "--data", place])).rejects.toThrow(BadNews);
    expect(existsSync(join(place, "simulated.db"))).toBe(false);
  });

  it("a file that is no log, or a newer program's, is a wrong request", async () => {
    const other = join(folder, "letter.txt");
    writeFileSync(
      other,
      "Dear friend, this is no database at all, and it is long enough to be taken for one.\n".repeat(20),
    );
    const verify = (file: string) => told(season, ["season", "verify", "--file", file]);
    const expected = "expected a season log or a backup of one";
    expect(await verify(other)).toMatchObject({
      status: 2,
      problems: [`command line: --file: ${expected}, got ${other}`],
    });
    const restored = await told(restore, ["restore", other, "--data", testFolder()]);
    expect(restored).toMatchObject({ status: 2, problems: [`command line: backup: ${expected}, got ${other}`] });
    const newer = join(folder, "newer.db");
    await told(backup, ["backup", "--data", folder, "--out", newer]);
    const database = new Database(newer);
    database.pragma("user_version = 999");
    database.close();
    const { status, problems } = await verify(newer);
    expect(status).toBe(2);
    expect(problems[0]).toMatch(
      /--file: expected a log of schema \d or older; a newer emberwire wrote it.*, got schema 999/,
    );
    expect(await told(restore, ["restore", newer, "--data", testFolder()])).toMatchObject({ status: 2 });
    const place = testFolder();
    copyFileSync(newer, join(place, "simulated.db"));
    const words = ["import", join(folder, "evening.csv"), "--data", place, "--simulated", "--at", "2026-10-03T19:00Z"];
    const imported = await told(importing, words);
    expect(imported.problems[0]).toContain("season log: expected a log of schema");
    expect(imported.status).toBe(2);
  });

  it("a simulated backup never becomes a real season", async () => {
    const copy = join(folder, "mixed.db");
    await told(backup, ["backup", "--data", folder, "--out", copy]);
    const config = join(folder, "real.toml");
    writeFileSync(config, '[transformer]\nmix = "43"\ntoroids = 3\ntoroid = "61.0x35.55x12.7mm"\nprimary_turns = 3\n');
    const { status, problems } = await told(restore, ["restore", copy, "--config", config, "--data", testFolder()]);
    expect(status).toBe(2);
    expect(problems[0]).toContain("expected a backup of a real feedpoint, got a simulated one's");
  });
});

describe("import", () => {
  const recording = join(folder, "evening.csv");
  const rows = Array.from(
    { length: 600 },
    (_, second) => `${second},20,${(20 + second / 200).toFixed(2)},11000,${second < 300 ? 700 : 0},7030000`,
  );
  writeFileSync(
    recording,
    `time_seconds,inlet_celsius,outlet_celsius,fan_rpm,drive_watts,frequency_hertz\n${rows.join("\n")}\n`,
  );
  const run = (place: string, ...flags: string[]) => told(importing, ["import", recording, "--data", place, ...flags]);

  it("files what was measured and what the model makes of it, marked as imported, once", async () => {
    const place = testFolder();
    expect((await run(place, "--simulated", "--at", "2026-10-03T19:00Z", "--name", "evening")).out).toMatch(
      /Seconds +600/,
    );
    const file = join(place, "out.csv");
    await told(exporting, ["export", "--data", place, "--every", "1s", "--out", file]);
    const [header, ...found] = csvIn(file);
    const at = (row: readonly string[], name: string): string => row[header!.indexOf(name)]!;
    expect(found).toHaveLength(600);
    expect(at(found[0]!, "date_seconds")).toBe(String(Date.parse("2026-10-03T19:00Z") / 1000));
    expect(new Set(found.map((row) => at(row, "source")))).toEqual(new Set(["imported"]));
    expect(Number(at(found[299]!, "core_celsius"))).toBeGreaterThan(Number(at(found[0]!, "core_celsius")));
    expect(at(found[10]!, "drive_watts")).toBe("700");
    expect(JSON.parse(readFileSync(`${file}.units.json`, "utf8")).imported).toBe(true);
    const again = await run(place, "--simulated", "--at", "2026-10-03T19:00Z");
    expect(again.status).toBe(2);
    expect(again.problems[0]).toContain("is in the log already");
  });

  it("wants to know which season, and a date where the recording has none", async () => {
    const place = testFolder();
    expect((await run(place)).problems[0]).toContain("--config: expected a config, or --simulated");
    expect((await run(place, "--simulated")).problems[0]).toContain("evening.csv:2: --at: expected --at");
  });

  it("leaves the log as it was when a line is wrong", async () => {
    const place = testFolder();
    const wrong = join(place, "wrong.csv");
    writeFileSync(wrong, `${readFileSync(recording, "utf8")}600,20,oops,11000,0,7030000\n`);
    const { status, problems } = await told(importing, [
      "import",
      wrong,
      "--data",
      place,
      "--simulated",
      "--at",
      "2026-10-03",
    ]);
    expect(status).toBe(2);
    expect(problems[0]).toContain("wrong.csv:602: outlet_celsius");
    expect((await told(season, ["season", "verify", "--data", place])).out).toMatch(/Seconds +0 in 0/);
  });
});

describe("report", () => {
  it("is one file that needs nothing else, says that it is simulated, and lets no text become markup", async () => {
    const file = join(folder, "season.html");
    store.write({
      rows: [],
      entries: [{ ...plainEntry(2), kind: "note", text: "<script>alert(1)</script>" }],
      checkpoint: null,
    });
    const flags = ["--from", String(START - 86_400), "--to", String(START + 86_400), "--utc-offset", "0"];
    expect((await told(report, ["report", "--data", folder, ...flags, "--out", file])).status).toBe(0);
    const html = readFileSync(file, "utf8");
    expect(html).toContain("SIMULATED");
    expect(html).not.toMatch(/<script|src=|href=|url\(|@import/);
    expect(html).toContain("&lt;script&gt;");
    expect(html).toContain("rain, &quot;heavy&quot;");
    expect(html.match(/<svg /g)?.length).toBeGreaterThanOrEqual(2);
    expect(html).toMatch(/<td>40 m<\/td><td class="n">2\.5 h<\/td><td class="n">1<\/td>/);
  });

  it("gives the same as JSON", async () => {
    const flags = ["--from", String(START), "--to", String(START + 86_400), "--utc-offset", "0", "--json"];
    const review = JSON.parse((await told(report, ["report", "--data", folder, ...flags])).out);
    expect(review.total).toMatchObject({ overs: 1, transmitting_seconds: ROWS, heat_joules: 30 * ROWS });
  });

  it.each([
    [[], "--out: expected a file to write, or --json, got neither"],
    [["--json", "--utc-offset", "25"], '--utc-offset: expected whole hours from -14 to 14, got "25"'],
  ])("refuses %j", async (flags, line) => {
    const { status, problems } = await told(report, ["report", "--data", folder, ...flags]);
    expect(status).toBe(2);
    expect(problems[0]).toContain(line);
  });
});
