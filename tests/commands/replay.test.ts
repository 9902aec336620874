// `replay`: rows in, rows out, by the daemon's own step(); a wrong recording leaves the older answer as it was.

import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { configFrom, programFrom } from "../../daemon/commands/flags.ts";
import { register } from "../../daemon/commands/replay.ts";
import { readCsv } from "../../daemon/recording/csv.ts";
import { REPLAY_COLUMNS } from "../../daemon/recording/replay.ts";
import { testFolder } from "../support/folder.ts";
import { told } from "./told.ts";

const COLUMNS = "time_seconds,inlet_celsius,outlet_celsius,fan_rpm,drive_watts,frequency_hertz";

/** A quiet box, then key-down: the outlet rises towards 12 K above the inlet. */
function keyDown(seconds: number, rpm: (second: number) => number = () => 11_000): string {
  const rows = Array.from({ length: seconds }, (_, second) => {
    const on = second >= 60;
    const rise = on ? 12 * (1 - Math.exp(-(second - 60) / 300)) : 0;
    return `${second},20,${(20 + rise).toFixed(4)},${rpm(second)},${on ? 1000 : 0},3600000`;
  });
  return `${COLUMNS}\r\n${rows.join("\r\n")}\r\n`;
}

async function replayed(text: string, more: readonly string[] = []) {
  const folder = testFolder();
  const [recording, out] = [join(folder, "in.csv"), join(folder, "out.csv")];
  writeFileSync(recording, text);
  const answer = await told(register, ["replay", recording, "--out", out, ...more]);
  expect(answer).toMatchObject({ status: 0, problems: [] });
  const [header, ...rows] = [...readCsv([readFileSync(out, "utf8")])].map(({ fields }) => fields);
  const column = (name: (typeof REPLAY_COLUMNS)[number]) => rows.map((row) => row[REPLAY_COLUMNS.indexOf(name)] ?? "");
  return { header, rows, column, folder };
}

describe("a replay", () => {
  it("answers row by row with the columns promised", async () => {
    const { header, rows, column } = await replayed(keyDown(120));
    expect(header).toEqual([...REPLAY_COLUMNS]);
    expect(rows).toHaveLength(120);
    expect(column("time_seconds")).toEqual(Array.from({ length: 120 }, (_, second) => String(second)));
    expect(rows.every((row) => row.length === REPLAY_COLUMNS.length)).toBe(true);
  });

  it("believes a key-down core hotter, by more than the air shows", async () => {
    const { column } = await replayed(keyDown(1200));
    const core = column("core_celsius").map(Number);
    expect(core.at(-1)! - core[59]!).toBeGreaterThan(12);
    const upper = column("core_upper_celsius").map(Number);
    expect(upper.every((bound, index) => bound > core[index]!)).toBe(true);
  });

  it("takes the power off when the fan stands still", async () => {
    const { column } = await replayed(keyDown(300, (second) => (second < 200 ? 11_000 : 0)));
    const stages = column("power_stage");
    // It begins released, as the daemon does.
    expect(stages[0]).toBe("inhibited");
    expect(stages.slice(10, 200)).not.toContain("inhibited");
    expect(stages.at(-1)).toBe("inhibited");
  });

  it("goes on over missing readings, with more doubt", async () => {
    const whole = await replayed(keyDown(200));
    const gappy = keyDown(200)
      .split("\r\n")
      .map((line, index) => (index > 120 ? line.replace(/^(\d+),20,[\d.]+/, "$1,,") : line));
    const missing = await replayed(gappy.join("\r\n"));
    const doubt = ({ column }: typeof whole) => Number(column("core_uncertainty_kelvin").at(-1));
    expect(doubt(missing)).toBeGreaterThan(doubt(whole));
  });

  it("does without the columns that are optional", async () => {
    const { rows } = await replayed(
      "time_seconds,inlet_celsius,outlet_celsius,fan_rpm\r\n0,20,25,11000\r\n1,20,25,11000\r\n",
    );
    expect(rows).toHaveLength(2);
  });

  it("is the same twice", async () => {
    const [first, second] = [await replayed(keyDown(300)), await replayed(keyDown(300))];
    expect(second.rows).toEqual(first.rows);
  });
});

describe("a wrong recording", () => {
  it("is one problem with its line, and the older answer stays as it was", async () => {
    const folder = testFolder();
    const [recording, out] = [join(folder, "in.csv"), join(folder, "out.csv")];
    writeFileSync(recording, `${keyDown(100)}oops,1,2,3,4,5\r\n`);
    writeFileSync(out, "older");
    const answer = await told(register, ["replay", recording, "--out", out]);
    expect(answer.status).toBe(2);
    expect(answer.problems).toEqual([
      `${recording}:102: time_seconds: expected a number from -1000000000000 to 1000000000000, or nothing, got "oops"`,
    ]);
    expect(readFileSync(out, "utf8")).toBe("older");
    expect(readdirSync(folder).sort()).toEqual(["in.csv", "out.csv"]);
  });

  it("that is not there, or an answer that cannot be written, says so", async () => {
    const folder = testFolder();
    const out = join(folder, "out.csv");
    const gone = await told(register, ["replay", join(folder, "gone.csv"), "--out", out]);
    expect(gone.problems[0]).toContain("recording: expected a file that can be read");
    writeFileSync(join(folder, "in.csv"), keyDown(2));
    const nowhere = await told(register, ["replay", join(folder, "in.csv"), "--out", join(folder, "no", "out.csv")]);
    expect(nowhere.problems[0]).toContain("--out: expected a file that can be written");
  });
});

describe("a recording that is to be written over", () => {
  it("is refused and stays as it was", async () => {
    const recording = join(testFolder(), "evening.csv");
    writeFileSync(recording, keyDown(3));
    const answer = await told(register, ["replay", recording, "--out", recording]);
    expect(answer).toMatchObject({
      status: 2,
      problems: [`command line: --out: expected another file than the one that is read, got ${recording}`],
    });
    expect(readFileSync(recording, "utf8")).toBe(keyDown(3));
  });
});

describe("the program it runs", () => {
  it("is the daemon's", () => {
    const frozen = programFrom(configFrom(undefined));
    expect(Object.isFrozen(frozen)).toBe(true);
    expect(frozen.model.bands.length).toBeGreaterThan(0);
  });
});
