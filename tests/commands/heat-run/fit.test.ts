// heat-run fit from end to end: a recording made by the truth plant, the model file, and what replay, rating and forecast make of it;
// runs that teach nothing, and files that are no model.

import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { register as registerForecast } from "../../../daemon/commands/forecast.ts";
import { register as registerHeatRun } from "../../../daemon/commands/heat-run/heat-run.ts";
import { register as registerRating } from "../../../daemon/commands/rating.ts";
import { register as registerReplay } from "../../../daemon/commands/replay.ts";
import { BadNews } from "../../../daemon/exit.ts";
import { playRun, recordingOf, type Second, usualRun } from "../../support/heat-run.ts";
import { told } from "../told.ts";

const folder = mkdtempSync(join(tmpdir(), "emberwire-heat-run-"));
afterAll(() => rmSync(folder, { recursive: true }));
const at = (name: string): string => join(folder, name);
const written = (name: string, text: string): string => {
  writeFileSync(at(name), text);
  return at(name);
};

const SEED = 3;
const SPOTS = [2710, 2830, 3000, 3300];
const run = playRun(SEED, 85 * 60, usualRun(900, 40));
const recording = written("run.csv", recordingOf(run, SPOTS));
const model = at("MODEL.toml");
const fitted = await told(registerHeatRun, [
  "heat-run",
  "fit",
  recording,
  "--out",
  model,
  "--report",
  at("report.html"),
  "--json",
]);
const answer = JSON.parse(fitted.out);

const identify = (...flags: string[]) => told(registerHeatRun, ["heat-run", "fit", ...flags]);
/** What a run that teaches nothing says. */
const refusalOf = async (text: string): Promise<readonly string[]> => {
  const asked = identify(written("refused.csv", text), "--out", at("never.toml"));
  const error: unknown = await asked.then(
    () => null,
    (reason: unknown) => reason,
  );
  expect(error).toBeInstanceOf(BadNews);
  expect(readdirSync(folder)).not.toContain("never.toml");
  return (error as BadNews).lines;
};

async function rmsOfReplay(evening: readonly Second[], ...flags: string[]): Promise<number> {
  const file = written("evening.csv", recordingOf(evening));
  expect((await told(registerReplay, ["replay", file, "--out", at("believed.csv"), ...flags])).status).toBe(0);
  const rows = readFileSync(at("believed.csv"), "utf8").trim().split("\r\n").slice(1);
  expect(rows).toHaveLength(evening.length);
  const squares = rows
    .slice(120)
    .map((row, index) => (Number(row.split(",")[1]) - evening[index + 120]!.coreCelsius) ** 2);
  return Math.sqrt(squares.reduce((sum, one) => sum + one, 0) / squares.length);
}

describe("heat-run fit", () => {
  it("brings a replay of another evening closer to the truth than geometry and tables do", async () => {
    expect([fitted.status, fitted.problems]).toEqual([0, []]);
    const evening = playRun(SEED, 60 * 60, (second) => (second % 600 < 330 ? 1300 : 0));
    const without = await rmsOfReplay(evening);
    const withModel = await rmsOfReplay(evening, "--model", model);
    expect(withModel).toBeLessThan(0.6 * without);
    expect(withModel).toBeLessThan(3);
  });

  it("prints each quantity with its uncertainty, and says plainly what the data did not move", async () => {
    expect(answer.calibration).toBe("calibrated");
    const quantity = (name: string) => answer.quantities.find((one: { name: string }) => one.name === name);
    expect(quantity("coreToAirWattsPerKelvin").identified).toBe(true);
    expect(quantity("coreToAirFanOffWattsPerKelvin").identified).toBe(false);
    expect(answer.correlation).toHaveLength(answer.quantities.length);
    for (const [index, row] of answer.correlation.entries()) expect(row[index]).toBeCloseTo(1, 9);
    const { out } = await identify(recording, "--out", at("again.toml"));
    expect(out).toMatch(/^core to air fan off .*not moved by the data$/m);
    expect(out).toMatch(/^core to air +\S+ ± \S+ W\/K +moved (up|down) by/m);
    expect(out).toContain("Calibrated by 4 core readings");
  });

  it("writes the same file for the same run, and a report that needs nothing else", async () => {
    await identify(recording, "--out", at("again.toml"));
    expect(readFileSync(at("again.toml"), "utf8")).toBe(readFileSync(model, "utf8"));
    const page = readFileSync(at("report.html"), "utf8");
    expect(page.match(/<svg /g)).toHaveLength(2);
    expect(page.match(/<circle /g)).toHaveLength(SPOTS.length);
    expect(page).not.toMatch(/<script|src=|href=|url\(/);
  });

  it("calls a model without a core reading not calibrated", async () => {
    const file = written("no-spot.csv", recordingOf(run));
    const { out, status } = await identify(file, "--out", at("loose.toml"), "--json");
    expect([status, JSON.parse(out).calibration]).toEqual([0, "not calibrated"]);
    const rated = JSON.parse((await told(registerRating, ["rating", "--json", "--model", at("loose.toml")])).out);
    expect(rated.calibration).toBe("not calibrated");
  });

  it("makes rating and forecast less cautious: the bound is narrower", async () => {
    const rate = async (...flags: string[]) =>
      JSON.parse((await told(registerRating, ["rating", "--json", "--air", "20C", ...flags])).out);
    const [prior, calibrated] = [await rate(), await rate("--model", model)];
    expect(calibrated.calibration).toBe("calibrated");
    expect(calibrated.rows).toHaveLength(prior.rows.length);
    const plan = written("plan.csv", "hour,band,mode,duty,drive_watts\n0,80 m,CW,0.5,500\n");
    const { out } = await told(registerForecast, [
      "forecast",
      "--plan",
      plan,
      "--normals",
      "5",
      "--json",
      "--model",
      model,
    ]);
    expect(JSON.parse(out).calibration).toBe("calibrated");
  });

  it("is read from the config too", async () => {
    const config = written(
      "own.toml",
      `[transformer]\nmix = "43"\ntoroids = 3\nprimary_turns = 3\nsecondary_turns = 21\nwire_diameter = "1.3mm"\n[model]\nfile = "${model}"\n`,
    );
    const { out } = await told(registerRating, ["rating", "--json", "--config", config]);
    expect(JSON.parse(out).calibration).toBe("calibrated");
  });
});

describe("a run that teaches nothing is refused with what to change", () => {
  it.each([
    ["too short", recordingOf(run.slice(0, 900)), /key down longer/],
    ["without a cool-down", recordingOf(run.slice(0, 2700)), /let it cool with the recording on/],
    ["too cool", recordingOf(playRun(SEED, 85 * 60, usualRun(40, 40))), /use more drive/],
    ["too noisy", recordingOf(playRun(SEED, 85 * 60, usualRun(900, 40), 1.2)), /choke the sensor leads/],
  ])("%s", async (_name, text, said) => {
    expect((await refusalOf(text)).join("\n")).toMatch(said);
  });
});

describe("a file that is no model", () => {
  const text = readFileSync(model, "utf8");
  it.each([
    ["that was changed by hand", text.replace("gain = 3", "gain = 2"), /sum: expected the sum of an untouched model/],
    ["that was cut short", text.slice(0, -40), /sum: expected the sum of an untouched model/],
    ["that is something else", "[transformer]\n", /sum: expected a model that heat-run fit wrote/],
  ])("%s is one line and status 2", async (_name, content, said) => {
    const { status, problems } = await told(registerRating, ["rating", "--model", written("wrong.toml", content)]);
    expect([status, problems.length]).toEqual([2, 1]);
    expect(problems[0]).toMatch(said);
  });

  it("that belongs to another transformer is refused", async () => {
    const config = written("other.toml", '[transformer]\nmix = "43"\ntoroids = 2\nprimary_turns = 3\n');
    const { status, problems } = await told(registerRating, ["rating", "--config", config, "--model", model]);
    expect([status, problems.length]).toEqual([2, 1]);
    expect(problems[0]).toContain("a model of the config's transformer");
  });

  it("that is not there is refused", async () => {
    const { status, problems } = await told(registerReplay, [
      "replay",
      recording,
      "--out",
      at("x.csv"),
      "--model",
      at("none"),
    ]);
    expect([status, problems.length]).toEqual([2, 1]);
    expect(problems[0]).toMatch(/--model: expected a file that can be read, got .*there is none/);
  });
});
