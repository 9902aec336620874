// `emberwire heat-run fit`: a recorded heat run → a model file, with what the data said and did not say about each quantity.
// It reads and writes files; the running daemon never hears of it. A run that cannot teach leaves no file.

import type { Command } from "commander";
import { modelOf } from "../../config/model.ts";
import { modelText } from "../../config/model-file.ts";
import { fitHeatRun, type HeatRunFit } from "../../core/estimate/fit.ts";
import type { HeatRunSample } from "../../core/estimate/recording.ts";
import { BadNews } from "../../exit.ts";
import { readChunks, writeWhole } from "../../recording/files.ts";
import { heatRunSample } from "../../recording/heat-run-sample.ts";
import { readRecording } from "../../recording/recording.ts";
import { writeJson, writeOut } from "../figures.ts";
import { configFrom } from "../flags.ts";
import { fitJson, fitLines } from "./answer.ts";
import { reportPage } from "./report.ts";
import { solveLeastSquares } from "./solver.ts";

type Flags = { readonly config?: string; readonly out: string; readonly report?: string; readonly json?: boolean };

const EXAMPLE = `
Record five quiet minutes, then key down into the antenna at a drive the rating allows until the outlet stands (30 to 40
minutes), read the core with an infrared thermometer right after unkeying (spot_core_celsius, in the very second it was
read), and record half an hour of cool-down. Several bands may follow each other; a last part with the fan off teaches the
fan-off constants. Before the box is opened: transmitter off and locked out. RF burns, and the wire's end carries
kilovolts.

Example:
  emberwire heat-run fit may.csv --config emberwire.toml --out MODEL.toml --report may.html`;

/** Adds `heat-run` to the program. */
export function register(program: Command): void {
  program
    .command("heat-run")
    .description("make the model of this box from a heat run")
    .addHelpText("after", EXAMPLE)
    .command("fit")
    .description("identify the model from a recorded heat run")
    .argument("<recording>", "CSV file (RFC 4180) with a header row, or - for standard input")
    .option("--config <file>", "TOML config; without one the simulated feedpoint")
    .requiredOption("--out <file>", "model file to write")
    .option("--report <file>", "report to write, one HTML file with its plots")
    .option("--json", "print JSON")
    .addHelpText("after", EXAMPLE)
    .action((recording: string, flags: Flags, command: Command) => answer(recording, flags, command));
}

function answer(recording: string, flags: Flags, command: Command): void {
  const read = configFrom(flags.config);
  const fit = fitOrRefuse(
    modelOf(read),
    Array.from(readRecording(readChunks(recording, "recording"), recording), heatRunSample),
    recording,
  );
  writeWhole(flags.out, "--out", [modelText(fit.model)]);
  if (flags.report !== undefined) writeWhole(flags.report, "--report", [reportPage(read.config.feedpoint.name, fit)]);
  if (flags.json === true) writeJson(command, fitJson(fit, flags.out));
  else writeOut(command, fitLines(fit, flags.out).join("\n"));
}

function fitOrRefuse(prior: HeatRunFit["model"], samples: readonly HeatRunSample[], recording: string): HeatRunFit {
  const name = recording === "-" ? "standard input" : recording.slice(-160);
  const result = fitHeatRun(prior, samples, solveLeastSquares, `heat run ${name}`);
  if (result.kind === "refused") throw new BadNews(result.refusals.map(({ text }) => `${name}: ${text}`));
  return result.fit;
}
