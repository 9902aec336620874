// `emberwire loss`: heat in the core (and, when the winding is given, in the copper) at one frequency and drive.
// It never asks about cooling: what the heat does to the temperature is `rating`.
import type { Command } from "commander";
import { type CopperLoss, copperLoss } from "../core/physics/copper.ts";
import { type CoreLoss, coreLoss } from "../core/physics/ferrite.ts";
import { voltsSquaredPerWatt } from "../core/physics/load.ts";
import { secondaryVoltage, VOLTAGE_CAUTION } from "../core/physics/secondary.ts";
import { heatEffect, saturationRatio } from "../core/physics/temperature.ts";
import { asked, type Figure, figure, percent, writeFigures, writeJson } from "./figures.ts";
import { type LossFlags, type LossQuestion, readQuestion } from "./loss-question.ts";

const EXAMPLE = `
Example:
  $ emberwire loss --mix 43 --toroids 3 --turns 3 --frequency 3.6MHz --drive 1.5kW

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
    .requiredOption("--frequency <frequency>", "frequency, such as 3.6MHz")
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
  const { core, frequencyHertz, driveWatts, load } = question;
  const loss = asked("--frequency", () => coreLoss(core, frequencyHertz, driveWatts, load));
  const copper = copperOf(question);
  const heat = asked("--core", () => heatEffect(core.mix, question.coreCelsius));
  const notes = notesOf(question, loss, copper);
  if (heat.collapsed)
    notes.push(`The core is at its Curie point or beyond (${core.mix.curieCelsius} °C): no figure holds.`);
  if (flags.json === true)
    writeJson(command, json(question, loss, copper, notes, flags.core === undefined ? null : heat.lossFactor));
  else writeFigures(command, lines(question, loss, copper, flags.core === undefined ? null : heat.lossFactor), notes);
  if (heat.collapsed || loss.lossFraction >= 1) process.exitCode = 1;
}

function copperOf(question: LossQuestion): CopperLoss | null {
  const { core, frequencyHertz, driveWatts, load, secondaryTurns, wireDiameterMeters, coreCelsius } = question;
  if (secondaryTurns === null || wireDiameterMeters === null) return null;
  const winding = { primaryTurns: core.primaryTurns, secondaryTurns, wireDiameterMeters, leadMeters: 0 };
  // A low load resistance means more current: the low bound is the warm one for copper.
  const { low } = voltsSquaredPerWatt(load);
  return asked("--wire", () => copperLoss(winding, core.toroids, frequencyHertz, driveWatts, low, coreCelsius));
}

function json(
  question: LossQuestion,
  loss: CoreLoss,
  copper: CopperLoss | null,
  notes: readonly string[],
  lossFactor: number | null,
): object {
  const copperWatts = copper?.lossWatts ?? 0;
  const lossWatts = loss.lossWatts + copperWatts;
  const copperFraction = question.driveWatts === 0 ? 0 : copperWatts / question.driveWatts;
  return {
    loss_watts: lossWatts,
    loss_fraction: loss.lossFraction + copperFraction,
    flux_density_tesla: loss.fluxDensityTesla,
    impedance_ohms: loss.impedanceOhms,
    core_loss_watts: loss.lossWatts,
    core_loss_low_watts: loss.lowLossWatts,
    core_loss_high_watts: loss.highLossWatts,
    copper_loss_watts: copper?.lossWatts ?? null,
    loss_fraction_beside_load: loss.lossFractionBesideLoad,
    flux_density_bore_tesla: loss.boreFluxDensityTesla,
    primary_volts: loss.primaryVolts,
    core_temperature_loss_factor: lossFactor,
    cautions: notes,
  };
}

function lines(question: LossQuestion, loss: CoreLoss, copper: CopperLoss | null, lossFactor: number | null): Figure[] {
  const { core, frequencyHertz, driveWatts, coreCelsius } = question;
  const worst = question.load.kind === "swr" ? ", at the worst of this SWR" : "";
  const figures: Figure[] = [
    ["core", `${core.toroids.length} × mix ${core.mix.name}, ${core.primaryTurns} turns`],
    ["at", `${figure(frequencyHertz / 1e6, 5)} MHz, ${figure(driveWatts, 4)} W`],
    ["core loss", `${figure(loss.lossWatts)} W`],
  ];
  if (loss.highLossWatts > loss.lossWatts) {
    figures.push(["  by the SWR", `${figure(loss.lowLossWatts)} to ${figure(loss.highLossWatts)} W`]);
  }
  if (copper !== null) {
    const split = `primary ${figure(copper.primaryWatts)}, secondary ${figure(copper.secondaryWatts)}`;
    figures.push(["copper loss", `${figure(copper.lossWatts)} W (${split})`]);
  }
  if (lossFactor !== null)
    figures.push([
      `core at ${figure(coreCelsius)} °C`,
      `core loss × ${figure(lossFactor)} = ${figure(loss.lossWatts * lossFactor)} W`,
    ]);
  const copperFraction = driveWatts === 0 ? 0 : (copper?.lossWatts ?? 0) / driveWatts;
  figures.push(
    ["loss fraction", `${percent(loss.lossFraction + copperFraction)} of what core and wire take together`],
    ["  or", `${percent(loss.lossFractionBesideLoad)} of the input, if the wire alone is the matched load`],
    [
      "flux density",
      `${figure(loss.fluxDensityTesla * 1e3)} mT peak (${figure(loss.boreFluxDensityTesla * 1e3)} mT at the bore)${worst}`,
    ],
    ["impedance", `${figure(loss.impedanceOhms.real)} + j${figure(loss.impedanceOhms.imaginary)} Ω`],
    ["primary", `${figure(loss.primaryVolts)} V rms`],
  );
  const ratio = saturationRatio(core.mix, loss.boreFluxDensityTesla, coreCelsius);
  if (ratio !== null) figures.push(["of saturation", percent(ratio)]);
  if (question.secondaryTurns !== null) {
    const volts = secondaryVoltage(core.primaryTurns, question.secondaryTurns, driveWatts, question.load);
    const peak = figure(volts.secondaryPeakVolts / 1e3);
    figures.push(["secondary", `${figure(volts.secondaryVolts / 1e3)} kV rms, ${peak} kV peak${worst}`]);
  }
  return figures;
}

function notesOf(question: LossQuestion, loss: CoreLoss, copper: CopperLoss | null): string[] {
  const notes: string[] = [];
  if (loss.gap !== null) {
    const range = `${figure(loss.gap.lowHertz / 1e6)} and ${figure(loss.gap.highHertz / 1e6)} MHz`;
    notes.push(`Mix ${question.core.mix.name} has no published points between ${range}: this figure bridges the gap.`);
  }
  if (copper === null) notes.push("Copper loss is not counted: give --wire and --secondary-turns.");
  if (loss.lossFraction >= 1) notes.push("The core alone would take more than the whole drive: no such match exists.");
  if (question.secondaryTurns !== null) notes.push(VOLTAGE_CAUTION);
  return notes;
}
