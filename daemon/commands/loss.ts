// `emberwire loss`: heat in the core (and, when the winding is given, in the copper) at a frequency or in every band.
// It never asks about cooling: what the heat does to the temperature is `rating`.
import type { Command } from "commander";
import { wrapped, writeFigures, writeJson, writeOut } from "./figures.ts";
import { answerLoss, bandLines, lossJson, lossLines, notesOn } from "./loss-answer.ts";
import { type LossFlags, readQuestion } from "./loss-question.ts";

const EXAMPLE = `
Examples:
  emberwire loss --mix 43 --toroids 3 --turns 3 --frequency 3.6MHz --drive 1.5kW
  emberwire loss --mix 43 --toroids 3 --turns 3 --bands --drive 1.5kW

The loss fraction is core loss (plus copper loss when --wire and --secondary-turns are given) over the power that the
transformer and the wire take together. Figures are for 25 °C and small signals; a real core may differ by 20 % and more.`;

/** Adds `loss` to the program. */
export function register(program: Command): void {
  program
    .command("loss")
    .description("heat in the transformer's core at one frequency and drive")
    .requiredOption("--mix <mix>", "ferrite mix (31, 43, 52, 61) or a CSV file of your own")
    .option("--toroids <count>", "number of stacked toroids (1 unless sizes are listed)")
    .option("--toroid <sizes>", "size of each, or a list of sizes separated by commas", "61.0x35.55x12.7mm")
    .requiredOption("--turns <count>", "turns of the primary")
    .option("--secondary-turns <count>", "turns of the whole secondary, for its voltage and copper loss")
    .option("--wire <gauge or diameter>", "winding wire, AWG number or diameter such as 1.6mm, for the copper loss")
    .option("--frequency <frequency>", "frequency, such as 3.6MHz")
    .option("--bands", "every amateur band that the mix's table reaches, at its centre")
    .requiredOption("--drive <power>", "RF power at the primary, such as 1.5kW")
    .option("--swr <ratio>", "standing-wave ratio at the primary, when the load is not matched")
    .option("--load-resistance <ohms>", "resistance the coax sees, instead of --swr")
    .option("--load-reactance <ohms>", "reactance the coax sees (0 unless given)")
    .option("--core <temperature>", "core temperature: adds how the loss grows with it (an estimate, not published)")
    .option("--json", "print JSON")
    .addHelpText("after", EXAMPLE)
    .action((flags: LossFlags, command: Command) => answer(command, flags));
}

function answer(command: Command, flags: LossFlags): void {
  const question = readQuestion(flags);
  const answers = question.at.map((at) => answerLoss(question, at));
  const [only] = answers;
  const notes = notesOn(question, answers);
  if (flags.bands === true) {
    if (flags.json === true) {
      writeJson(command, { bands: answers.map((each) => lossJson(question, each)), cautions: notes });
    } else
      writeOut(
        command,
        [...bandLines(question, answers), ...notes.flatMap((note) => ["", ...wrapped(note)])].join("\n"),
      );
  } else if (only !== undefined) {
    if (flags.json === true) writeJson(command, { ...lossJson(question, only), cautions: notes });
    else writeFigures(command, lossLines(question, only), notes);
  }
  if (answers.some((each) => each.impossible)) process.exitCode = 1;
}
