// `emberwire rating`: what each band and mode bears at several air temperatures, and which part sets it.
// It never looks at the running daemon: it is a plan, from the config's model.
import type { Command } from "commander";
import { settingsOf } from "../config/program.ts";
import { quantity } from "../config/quantity.ts";
import { ratingBasisOf } from "../config/rating-basis.ts";
import type { Model } from "../core/estimate/model.ts";
import { MODES } from "../core/physics/modes.ts";
import { type RatingRow, ratingTable } from "../core/physics/rating.ts";
import { COMMAND_LINE, figure, percent, wrapped, writeJson, writeOut } from "./figures.ts";
import { configFrom, modelFrom } from "./flags.ts";

type Flags = {
  readonly config?: string;
  readonly model?: string;
  readonly air: string;
  readonly fanStopped?: boolean;
  readonly json?: boolean;
};

const MOST_TEMPERATURES = 12;

const EXAMPLE = `
Example:
  sudo emberwire rating --config /etc/emberwire/emberwire.toml --air 20C,30C,40C

Watts of peak envelope power (carrier power for AM) that may go on without end in each mode. Air is what enters the box.`;

/** Adds `rating` to the program. */
export function register(program: Command): void {
  program
    .command("rating")
    .description("sustainable drive by band, mode and air temperature, with what limits it")
    .option("--config <file>", "TOML config; without one the simulated feedpoint is rated")
    .option("--model <file>", "model of a heat run, instead of the config's")
    .option("--air <temperatures>", "air at the inlet, separated by commas", "20C,30C,40C")
    .option("--fan-stopped", "rate the box with its fan standing")
    .option("--json", "print JSON")
    .addHelpText("after", EXAMPLE)
    .action((flags: Flags, command: Command) => answer(command, flags));
}

function answer(command: Command, flags: Flags): void {
  const airCelsius = readAir(flags.air);
  const read = configFrom(flags.config);
  const model = modelFrom(read, flags.model);
  const basis = ratingBasisOf(read, model, settingsOf(read).limits);
  const limits = { limitCelsius: basis.limitCelsius };
  const rows = ratingTable({
    ...basis,
    airCelsius,
    modes: MODES,
    fanTurning: flags.fanStopped !== true,
  });
  const notes = notesOf(flags, model, rows, read.config.transformer.wire_diameter !== undefined);
  if (flags.json === true) writeJson(command, json(limits.limitCelsius, model, rows, notes));
  else writeOut(command, [...tables(limits.limitCelsius, airCelsius, rows), ...notes.flatMap(wrapped)].join("\n"));
  if (rows.every((row) => row.sustainableWatts === 0)) process.exitCode = 1;
}

function readAir(text: string): number[] {
  const parts = text.split(",").slice(0, MOST_TEMPERATURES);
  return parts.map((part) => quantity(part, "temperature", { what: "--air", where: COMMAND_LINE, low: -40, high: 60 }));
}

function json(limitCelsius: number, model: Model, rows: readonly RatingRow[], notes: readonly string[]): object {
  return {
    limit_celsius: limitCelsius,
    rows: rows.map((row) => ({
      band: row.band,
      mode: row.mode,
      air_celsius: row.airCelsius,
      sustainable_watts: row.sustainableWatts,
      loss_fraction: row.lossFraction,
      limited_by: row.limitedBy,
    })),
    calibration: model.calibration,
    cautions: notes,
  };
}

/** One table for each air temperature: bands down, modes across. */
function tables(limitCelsius: number, airs: readonly number[], rows: readonly RatingRow[]): string[] {
  const modes = MODES.map((mode) => mode.name);
  const width = Math.max(...modes.map((name) => name.length), 9) + 2;
  return airs.flatMap((air) => {
    const here = rows.filter((row) => row.airCelsius === air);
    const bands = [...new Set(here.map((row) => row.band))];
    const head = `${"band".padEnd(7)}${"loss".padStart(7)}${modes.map((name) => name.padStart(width)).join("")}`;
    const lines = bands.map((band) => {
      const cells = modes.map((mode) => cell(here.find((row) => row.band === band && row.mode === mode)));
      const loss = here.find((row) => row.band === band)?.lossFraction ?? Number.NaN;
      return `${band.padEnd(7)}${percent(loss, 2).padStart(7)}${cells.map((text) => text.padStart(width)).join("")}`;
    });
    const title = `Air ${figure(air)} °C (${figure(air * 1.8 + 32)} °F), core's upper bound at most ${figure(limitCelsius)} °C, watts`;
    return [title, head, ...lines, ""];
  });
}

function cell(row: RatingRow | undefined): string {
  if (row === undefined) return "–";
  const watts = Math.floor(row.sustainableWatts / 10) * 10;
  return row.limitedBy === "core" ? String(watts) : `${watts} ${row.limitedBy}`;
}

function notesOf(flags: Flags, model: Model, rows: readonly RatingRow[], wireKnown: boolean): string[] {
  const notes = [
    "Limited by the core unless a figure says flux, wire, fan or air. The compensation capacitor is not modelled: its own rating may be lower. Neither are the coax, the connectors and the law.",
  ];
  if (!wireKnown) notes.push("The winding's wire is not in the config: it sets no limit here.");
  if (model.calibration === "not calibrated") {
    notes.push(
      "Not calibrated: these figures rest on geometry and tables with a wide margin; a heat run with a core reading narrows it.",
    );
  }
  if (flags.fanStopped === true)
    notes.push("Fan standing: protection reduces the power in that state whatever this table says.");
  if (rows.length === 0) notes.push("The mix's table reaches none of the bands.");
  return notes;
}
