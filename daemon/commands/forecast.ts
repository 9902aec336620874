// `emberwire forecast`: an operating plan against an hourly temperature: how warm the core gets and where power would be reduced.
// It never looks at the running daemon and changes nothing.
import type { Command } from "commander";
import { modelOf } from "../config/model.ts";
import { parseConfig, readConfigFile } from "../config/parse.ts";
import { RequestError } from "../config/problem.ts";
import { settingsOf } from "../config/program.ts";
import { quantity } from "../config/quantity.ts";
import { CLIMATE_NORMALS } from "../core/estimate/climate-normals.ts";
import { type ForecastHour, type ForecastInput, forecast, type PlannedOvers } from "../core/estimate/forecast.ts";
import type { Model } from "../core/estimate/model.ts";
import { bandNamed } from "../core/physics/bands.ts";
import { DEMO_CONFIG, DEMO_NAME } from "../demo.ts";
import { type AirRow, type PlanRow, readAirTable, readPlan } from "../recording/plan-table.ts";
import { COMMAND_LINE, figure, wrapped, writeJson, writeOut } from "./figures.ts";

type Flags = {
  readonly plan: string;
  readonly air?: string;
  readonly normals?: string;
  readonly warmer: string;
  readonly config?: string;
  readonly overs: string;
  readonly fanStopped?: boolean;
  readonly json?: boolean;
};

const EXAMPLE = `
Example:
  $ emberwire forecast --plan contest.csv --air tomorrow.csv

The plan is CSV with hour,band,mode,duty,drive_watts: duty is the share of the hour spent in overs, drive is peak envelope
power; an hour without a row is silence. The air is CSV with hour,air_celsius and optionally sun_watts. Without --air,
--normals takes the climate normals of one temperate place for a month; --warmer shifts them.`;

/** Adds `forecast` to the program. */
export function register(program: Command): void {
  program
    .command("forecast")
    .description("core temperature hour by hour for an operating plan")
    .requiredOption("--plan <file>", "operating plan, CSV")
    .option("--air <file>", "hourly air temperature, CSV")
    .option("--normals <month>", "climate normals of this month (1 to 12) instead of --air")
    .option("--warmer <difference>", "add this to every air temperature", "0K")
    .option("--overs <duration>", "length of one over", "2min")
    .option("--fan-stopped", "with the fan standing")
    .option("--config <file>", "TOML config; without one the simulated feedpoint")
    .option("--json", "print JSON")
    .addHelpText("after", EXAMPLE)
    .action((flags: Flags, command: Command) => answer(command, flags));
}

function answer(command: Command, flags: Flags): void {
  const read = flags.config === undefined ? parseConfig(DEMO_CONFIG, DEMO_NAME) : readConfigFile(flags.config);
  const model = modelOf(read);
  const { limits } = settingsOf(read);
  const place = (what: string, low: number, high: number) => ({ what, where: COMMAND_LINE, low, high });
  const inputs = hoursOf(flags, model, quantity(flags.warmer, "temperatureDifference", place("--warmer", -60, 60)));
  const rows = forecast({
    model,
    reduceCelsius: limits.reduceCelsius,
    limitCelsius: limits.limitCelsius,
    fanTurning: flags.fanStopped !== true,
    from: null,
    hours: inputs,
    overSeconds: quantity(flags.overs, "duration", place("--overs", 15, 3600)),
  });
  if (flags.json === true) writeJson(command, json(limits, model, inputs, rows));
  else writeOut(command, [...table(inputs, rows), "", ...wrapped(words(limits, model, rows))].join("\n"));
  if (rows.some((row) => row.powerStage !== "full")) process.exitCode = 1;
}

function hoursOf(flags: Flags, model: Model, warmerKelvin: number): ForecastInput[] {
  const plan = readPlan(flags.plan, "--plan");
  const last = plan.at(-1)?.hour ?? 0;
  const air = airOf(flags, plan[0]?.hour ?? 0, last);
  const missing = plan.find((row) => !air.some((hour) => hour.hour === row.hour));
  if (missing !== undefined) {
    const got = `hours ${air[0]?.hour} to ${air.at(-1)?.hour}`;
    const expected = `air for every planned hour (${missing.hour} is missing)`;
    throw new RequestError([{ what: "hour", where: `${flags.plan}:${missing.line}`, expected, got }]);
  }
  return air.map(({ hour, airCelsius, sunWatts }) => {
    const row = plan.find((planned) => planned.hour === hour);
    return {
      hour,
      airCelsius: airCelsius + warmerKelvin,
      sunWatts,
      overs: row === undefined ? null : oversOf(flags.plan, row, model),
    };
  });
}

function oversOf(file: string, row: PlanRow, model: Model): PlannedOvers {
  const band = model.bands.find((known) => known.band === bandNamed(row.band)?.name);
  if (band === undefined) {
    const expected = `one of ${model.bands.map((known) => known.band).join(", ")}`;
    throw new RequestError([{ what: "band", where: `${file}:${row.line}`, expected, got: `"${row.band}"` }]);
  }
  return { band, mode: row.mode, overShare: row.overShare, driveWatts: row.driveWatts };
}

function airOf(flags: Flags, first: number, last: number): AirRow[] {
  if ((flags.air === undefined) === (flags.normals === undefined)) {
    const got = flags.air === undefined ? "neither" : "both";
    throw new RequestError([{ what: "--air", where: COMMAND_LINE, expected: "either --air or --normals", got }]);
  }
  if (flags.air !== undefined) return consecutive(flags.air, readAirTable(flags.air, "--air"));
  const place = { what: "--normals", where: COMMAND_LINE, low: 1, high: 12, whole: true };
  const month = CLIMATE_NORMALS[quantity(flags.normals ?? "", "count", place) - 1]!;
  return Array.from({ length: last - first + 1 }, (_, index) => ({
    line: 0,
    hour: first + index,
    airCelsius: month[(first + index) % 24]!,
    sunWatts: 0,
  }));
}

function consecutive(file: string, rows: AirRow[]): AirRow[] {
  const gap = rows.find((row, index) => index > 0 && row.hour !== rows[index - 1]!.hour + 1);
  if (gap === undefined) return rows;
  const expected = "hours one after the other";
  throw new RequestError([{ what: "hour", where: `${file}:${gap.line}`, expected, got: String(gap.hour) }]);
}

function json(
  limits: { readonly reduceCelsius: number; readonly limitCelsius: number },
  model: Model,
  inputs: readonly ForecastInput[],
  rows: readonly ForecastHour[],
): object {
  return {
    limit_celsius: limits.limitCelsius,
    reduce_celsius: limits.reduceCelsius,
    calibration: model.calibration,
    rows: rows.map((row, index) => {
      const overs = inputs[index]?.overs ?? null;
      return {
        hour: row.hour,
        air_celsius: row.airCelsius,
        band: overs?.band.band ?? null,
        mode: overs?.mode.name ?? null,
        drive_watts: overs?.driveWatts ?? 0,
        loss_watts: row.lossWatts,
        peak_core_celsius: row.peakCoreCelsius,
        peak_core_upper_celsius: row.peakUpperCelsius,
        power_stage: row.powerStage,
        leaves_full_after_minutes: row.leavesFullAfterMinutes,
      };
    }),
  };
}

function table(inputs: readonly ForecastInput[], rows: readonly ForecastHour[]): string[] {
  const head = ["hour", "air °C", "plan", "loss W", "core °C", "bound °C", "stage"];
  const lines = rows.map((row, index) => {
    const overs = inputs[index]?.overs ?? null;
    const plan =
      overs === null
        ? "–"
        : `${figure(overs.driveWatts)} W ${overs.band.band} ${overs.mode.name} ${Math.round(overs.overShare * 100)} %`;
    const after = row.leavesFullAfterMinutes === null ? "" : ` after ${Math.floor(row.leavesFullAfterMinutes)} min`;
    return [
      String(row.hour),
      row.airCelsius.toFixed(1),
      plan,
      row.lossWatts.toFixed(0),
      row.peakCoreCelsius.toFixed(0),
      row.peakUpperCelsius.toFixed(0),
      row.powerStage + after,
    ];
  });
  const all = [head, ...lines];
  const widths = head.map((_, column) => Math.max(...all.map((cells) => cells[column]!.length)));
  return all.map((cells) =>
    cells
      .map((cell, column) => cell.padEnd(widths[column]!))
      .join("  ")
      .trimEnd(),
  );
}

function words(
  limits: { readonly reduceCelsius: number; readonly limitCelsius: number },
  model: Model,
  rows: readonly ForecastHour[],
): string {
  const short = rows.filter((row) => row.powerStage !== "full").map((row) => row.hour);
  const verdict =
    short.length === 0
      ? "Full power throughout."
      : `Power would be reduced or taken off in hour${short.length === 1 ? "" : "s"} ${short.join(", ")}.`;
  const trust = model.calibration === "calibrated" ? "" : " Not calibrated: the bound is wide; a heat run narrows it.";
  const bounds = `reduced from ${figure(limits.reduceCelsius)} °C, taken off at ${figure(limits.limitCelsius)} °C of the upper bound`;
  return `${verdict} (${bounds}.)${trust}`;
}
