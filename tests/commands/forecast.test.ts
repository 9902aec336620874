// The forecast command: plan and air from CSV, normals instead, its keys, exit status, and every fault with file and line.
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { register } from "../../daemon/commands/forecast.ts";
import { told } from "./told.ts";

const folder = mkdtempSync(join(tmpdir(), "emberwire-forecast-"));
afterAll(() => rmSync(folder, { recursive: true }));

function file(name: string, text: string): string {
  const path = join(folder, name);
  writeFileSync(path, text);
  return path;
}
const HEADER = "hour,band,mode,duty,drive_watts";
const evening = file("evening.csv", `${HEADER}\n18,80m,SSB,0.5,1000\n20,40 m,CW,1,500\n`);
const weather = file("weather.csv", "hour,air_celsius,sun_watts\n17,22,5\n18,21,2\n19,20,0\n20,19,0\n21,18,0\n");
const asked = (...flags: string[]) => told(register, ["forecast", ...flags]);

describe("forecast", () => {
  it("answers hour by hour in JSON", async () => {
    const { out, status } = await asked("--plan", evening, "--air", weather, "--json");
    const { rows, limit_celsius } = JSON.parse(out);
    expect([status, limit_celsius, rows.length]).toEqual([0, 110, 5]);
    expect(rows[1]).toMatchObject({
      hour: 18,
      air_celsius: 21,
      band: "80 m",
      mode: "SSB",
      drive_watts: 1000,
      power_stage: "full",
    });
    expect(rows[2]).toMatchObject({ hour: 19, band: null, mode: null, drive_watts: 0 });
    expect(rows[1].peak_core_celsius).toBeGreaterThan(rows[0].peak_core_celsius);
    expect(rows[1].peak_core_upper_celsius).toBeGreaterThan(rows[1].peak_core_celsius);
  });

  it("calls an hour without full power bad news and names it", async () => {
    const contest = file("contest.csv", `${HEADER}\n0,80 m,RTTY,1,1500\n1,80 m,RTTY,1,1500\n`);
    const { out, status } = await asked("--plan", contest, "--normals", "7");
    expect(status).toBe(1);
    expect(out).toMatch(/inhibited after \d+ min/);
    expect(out).toContain("Power would be reduced or taken off in hours 0, 1.");
    const gentle = await asked("--plan", evening, "--normals", "1");
    expect(gentle.status).toBe(0);
    expect(gentle.out).toContain("Full power throughout.");
  });

  it("shifts the air when asked", async () => {
    const at = async (warmer: string): Promise<number> =>
      JSON.parse((await asked("--plan", evening, "--normals", "7", "--warmer", warmer, "--json")).out).rows[0]
        .air_celsius;
    expect((await at("9F")) - (await at("0K"))).toBeCloseTo(5, 9);
  });

  it("puts a clear sky on the box by day, and none by night", async () => {
    const plan = file("noon.csv", `${HEADER}\n0,80m,CW,0.1,100\n12,80m,CW,0.1,100\n`);
    const rows = async (...more: string[]) =>
      JSON.parse((await asked("--plan", plan, "--normals", "7", "--json", ...more)).out).rows;
    const sunny = await rows("--sun", "47.5,8.5,2026-07-01");
    const shade = await rows();
    expect(sunny[0].sun_watts).toBe(0);
    expect(sunny[12].sun_watts).toBeGreaterThan(5);
    expect(sunny[12].peak_core_celsius).toBeGreaterThan(shade[12].peak_core_celsius + 1);
    expect((await rows("--sun", "-47.5,8.5,2026-07-01"))[12].sun_watts).toBeLessThan(sunny[12].sun_watts);
  });

  it.each([
    [`${HEADER}\n18,80m,SSB,50,1000\n`, ':2: duty: expected a share of the hour spent in overs from 0 to 1, got "50"'],
    [
      `${HEADER}\n18,80m,shouting,0.5,1000\n`,
      ':2: mode: expected one of SSB, SSB processed, CW, FT8, RTTY, AM, FM, got "shouting"',
    ],
    [`${HEADER}\n18,81m,SSB,0.5,1000\n`, ":2: band: expected one of 160 m, 80 m"],
    [`${HEADER}\n18,80m,SSB,0.5\n`, ":2: row: expected 5 fields as in the header"],
    [`${HEADER}\n18,80m,SSB,0.5,1000\n18,80m,SSB,0.5,1000\n`, ":3: hour: expected an hour after the row before (18)"],
    [`${HEADER}\n18.5,80m,SSB,0.5,\n`, ':2: hour: expected a whole hour from 0 to 335, got "18.5"'],
    ["hour,band\n18,80m\n", ":1: header: expected the columns hour,band,mode,duty,drive_watts, got hour,band"],
    [`${HEADER}\n`, ":1: row: expected a header and at least one row, got none"],
    [
      `${HEADER}\n22,80m,SSB,0.5,1000\n`,
      ":2: hour: expected air for every planned hour (22 is missing), got hours 17 to 21",
    ],
    [`${HEADER}\n"18",80m,"SS"B,0.5,1000\n`, ":2: row: expected a quote only around a whole field"],
  ])("refuses the plan %j with its line", async (text, line) => {
    const plan = file("wrong.csv", text);
    const { problems, status, out } = await asked("--plan", plan, "--air", weather);
    expect([status, out]).toEqual([2, ""]);
    expect(problems[0]).toContain(`${plan}${line}`);
  });

  it("names every fault of a plan, not only the first", async () => {
    const plan = file("wrong.csv", `${HEADER}\n18,80m,SSB,50,1000\n19,80m,nothing,0.5,-1\n`);
    expect((await asked("--plan", plan, "--air", weather)).problems).toHaveLength(3);
  });

  it.each([
    [["--air", "none.csv"], "command line: --air: expected a file that can be read, got none.csv (there is none)"],
    [[], "command line: --air: expected either --air or --normals, got neither"],
    [["--air", weather, "--normals", "7"], "expected either --air or --normals, got both"],
    [["--normals", "13"], 'command line: --normals: expected a number from 1 to 12, got "13"'],
    [["--normals", "7", "--overs", "1s"], "command line: --overs: expected a duration from 15 to 3600 s"],
    [
      ["--normals", "7", "--sun", "47.5,8.5"],
      'command line: --sun: expected latitude,longitude,date such as 47.5,8.5,2026-07-01, got "47.5,8.5"',
    ],
    [["--normals", "7", "--sun", "97.5,8.5,2026-07-01"], "command line: --sun: expected a number from -90 to 90"],
    [["--normals", "7", "--sun", "7.5,8.5,2026-13-01"], "command line: --sun: expected latitude,longitude,date"],
    [["--normals", "7", "--warmer", "hot"], "command line: --warmer: expected a temperature difference"],
  ])("refuses %j in one line", async (flags, line) => {
    const { problems, status } = await asked("--plan", evening, ...flags);
    expect(status).toBe(2);
    expect(problems).toHaveLength(1);
    expect(problems[0]).toContain(line);
  });

  it("wants the air hour by hour", async () => {
    const gap = file("gap.csv", "hour,air_celsius\n17,22\n18,21\n20,19\n");
    expect((await asked("--plan", evening, "--air", gap)).problems[0]).toContain(
      `${gap}:4: hour: expected hours one after the other, got 20`,
    );
  });

  it("shows an example in its help", async () => {
    expect((await asked("--help")).out).toContain("  emberwire forecast --plan");
  });
});
