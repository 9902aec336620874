// `emberwire forecast`: an operating plan against an hourly temperature: how warm the core gets and where power would be reduced.
// It never looks at the running daemon and changes nothing.
import type { Command } from "commander";
import { settingsOf } from "../config/program.ts";
import { quantity } from "../config/quantity.ts";
import { type ForecastHour, type ForecastInput, forecast } from "../core/estimate/forecast.ts";
import type { Model } from "../core/estimate/model.ts";
import { COMMAND_LINE, figure, wrapped, writeJson, writeOut } from "./figures.ts";
import { configFrom, modelFrom } from "./flags.ts";
import { type ForecastFlags, hoursOf } from "./forecast-hours.ts";

const EXAMPLE = `
Example:
  emberwire forecast --plan contest.csv --air tomorrow.csv

The plan is CSV with hour,band,mode,duty,drive_watts: duty is the share of the hour spent in overs, drive is peak envelope
power; an hour without a row is silence. The air is CSV with hour,air_celsius and optionally sun_watts. Without --air,
--normals takes the climate normals of one temperate place for a month; --warmer shifts them. With --sun the hours are
mean solar time and a small grey box (0.1 m wide) stands in full sun; degrees count north and east.`;

/** Adds `forecast` to the program. */
export function register(program: Command): void {
  program
    .command("forecast")
    .description("core temperature hour by hour for an operating plan")
    .requiredOption("--plan <file>", "operating plan, CSV")
    .option("--air <file>", "hourly air temperature, CSV")
    .option("--normals <month>", "climate normals of this month (1 to 12) instead of --air")
    .option("--warmer <difference>", "add this to every air temperature", "0K")
    .option("--sun <place and day>", "clear sky on the box: latitude,longitude,date such as 47.5,8.5,2026-07-01")
    .option("--overs <duration>", "length of one over", "2min")
    .option("--fan-stopped", "with the fan standing")
    .option("--config <file>", "TOML config; without one the simulated feedpoint")
    .option("--model <file>", "model of a heat run, instead of the config's")
    .option("--json", "print JSON")
    .addHelpText("after", EXAMPLE)
    .action((flags: ForecastFlags, command: Command) => answer(command, flags));
}

function answer(command: Command, flags: ForecastFlags): void {
  const read = configFrom(flags.config);
  const model = modelFrom(read, flags.model);
  const { limits } = settingsOf(read);
  const place = (what: string, low: number, high: number) => ({ what, where: COMMAND_LINE, low, high });
  const inputs = hoursOf(flags, model, read.config.feedpoint.altitude);
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
        sun_watts: inputs[index]?.sunWatts ?? 0,
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
