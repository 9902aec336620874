// The rating command: keys, the mode's and band's names, the table for people, a config of one's own, wrong flags.
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { register } from "../../daemon/commands/rating.ts";
import { told } from "./told.ts";

const folder = mkdtempSync(join(tmpdir(), "emberwire-rating-"));
afterAll(() => rmSync(folder, { recursive: true }));

const asked = (...flags: string[]) => told(register, ["rating", ...flags]);

function configWith(transformer: string): string {
  const file = join(folder, "feedpoint.toml");
  writeFileSync(file, `[transformer]\n${transformer}\n[limits]\ncore = "105C"\n`);
  return file;
}

describe("rating", () => {
  it("prints the design's keys in JSON", async () => {
    const { out, status } = await asked("--json", "--air", "20C,30C");
    const answer = JSON.parse(out);
    expect(status).toBe(0);
    expect(Object.keys(answer).slice(0, 2)).toEqual(["limit_celsius", "rows"]);
    expect(Object.keys(answer.rows[0])).toEqual([
      "band",
      "mode",
      "air_celsius",
      "sustainable_watts",
      "loss_fraction",
      "limited_by",
    ]);
    expect(new Set(answer.rows.map((row: { air_celsius: number }) => row.air_celsius))).toEqual(new Set([20, 30]));
    expect(answer.rows.some((row: { band: string; mode: string }) => row.band === "80 m" && row.mode === "CW")).toBe(
      true,
    );
    expect(answer.calibration).toBe("not calibrated");
  });

  it("rates a config of one's own at its own limit", async () => {
    const file = configWith('mix = "43"\ntoroids = 3\nprimary_turns = 3');
    const three = JSON.parse((await asked("--json", "--config", file)).out);
    expect(three.limit_celsius).toBe(105);
    const two = JSON.parse(
      (await asked("--json", "--config", configWith('mix = "43"\ntoroids = 3\nprimary_turns = 2'))).out,
    );
    const find = (answer: typeof three) =>
      answer.rows.find((row: { band: string; mode: string }) => row.band === "80 m" && row.mode === "RTTY");
    // Loss goes with one over turns squared.
    expect(find(two).loss_fraction / find(three).loss_fraction).toBeCloseTo(9 / 4, 6);
    expect(find(two).sustainable_watts / find(three).sustainable_watts).toBeCloseTo(4 / 9, 6);
  });

  it("leaves out bands that the mix's table does not reach", async () => {
    const table = join(folder, "own.csv");
    writeFileSync(table, "frequency_hertz,mu_real,mu_imaginary\n3e6,480,220\n15e6,190,200\n");
    const answer = JSON.parse(
      (
        await asked(
          "--json",
          "--config",
          configWith(`mix = "${table}"\ntoroids = 2\nprimary_turns = 3\ncurie = "130C"`),
        )
      ).out,
    );
    expect([...new Set(answer.rows.map((row: { band: string }) => row.band))]).toEqual([
      "80 m",
      "60 m",
      "40 m",
      "30 m",
      "20 m",
    ]);
  });

  it("draws one table for each air temperature and says what it does not model", async () => {
    const { out } = await asked("--air", "68F,40C");
    expect(out).toContain("Air 20 °C (68 °F)");
    expect(out).toContain("Air 40 °C (104 °F)");
    expect(out).toContain("capacitor is not");
    expect(out).toContain("Not calibrated");
    const lengths = out
      .split("\n")
      .filter((line) => /^\d+ m /.test(line))
      .map((line) => line.length);
    expect(new Set(lengths).size).toBe(1);
  });

  it("calls it bad news when nothing may be sent", async () => {
    expect(
      (
        await asked(
          "--air",
          "60C",
          "--fan-stopped",
          "--config",
          configWith('mix = "43"\ntoroids = 1\nprimary_turns = 1'),
        )
      ).status,
    ).toBe(0);
    const file = join(folder, "cold.toml");
    writeFileSync(
      file,
      '[transformer]\nmix = "43"\ntoroids = 3\nprimary_turns = 3\n[limits]\ncore = "58C"\nreduce = "50C"\nalarm = "45C"\nreset = "40C"\n',
    );
    expect((await asked("--air", "60C", "--config", file)).status).toBe(1);
  });

  it.each([
    [["--air", "warm"], 'command line: --air: expected a temperature such as 30C or 85F, got "warm"'],
    [["--air", "20C,300F"], 'command line: --air: expected a temperature from -40 to 60 C, got "300F"'],
    [["--config", "/nowhere/emberwire.toml"], "command line: --config: expected a file that can be read"],
  ])("refuses %j in one line", async (flags, line) => {
    const { problems, status, out } = await asked(...flags);
    expect([status, out]).toEqual([2, ""]);
    expect(problems).toHaveLength(1);
    expect(problems[0]).toContain(line);
  });

  it("shows an example in its help", async () => {
    expect((await asked("--help")).out).toContain("sudo emberwire rating --config");
  });
});
