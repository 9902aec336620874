// The answer of `emberwire loss`: what the physics says to one question, and how it is shown. It reads no flag.
import { type CopperLoss, copperLoss } from "../core/physics/copper.ts";
import { type CoreLoss, coreLoss } from "../core/physics/ferrite.ts";
import { voltsSquaredPerWatt } from "../core/physics/load.ts";
import {
  cutWireMeters,
  type SecondaryVoltage,
  secondaryVoltage,
  VOLTAGE_CAUTION,
  wireEndVolts,
} from "../core/physics/secondary.ts";
import { type HeatEffect, heatEffect, saturationRatio } from "../core/physics/temperature.ts";
import { asked, type Figure, figure, percent } from "./figures.ts";
import type { LossQuestion } from "./loss-question.ts";

// Where nobody says how thick the antenna wire is. A quarter or four times of it moves the end voltage by a tenth.
const ANTENNA_WIRE_METERS = 2e-3;
const TABLE_CELSIUS = 25;

/** Everything said of one frequency. */
export type LossAnswer = {
  readonly band: string | null;
  readonly frequencyHertz: number;
  readonly core: CoreLoss;
  /** null while the winding is not known. */
  readonly copper: CopperLoss | null;
  /** Core loss and copper loss together, W and over the drive. */
  readonly lossWatts: number;
  readonly lossFraction: number;
  /** null while the step-up is not known. */
  readonly secondary: SecondaryVoltage | null;
  readonly wireEndVolts: number | null;
  readonly heat: HeatEffect;
  /** The figures contradict themselves: more loss than drive, or no ferromagnetism left. */
  readonly impossible: boolean;
};

/** @throws RequestError when the mix's table does not reach the frequency */
export function answerLoss(question: LossQuestion, at: LossQuestion["at"][number]): LossAnswer {
  const { driveWatts, load, secondaryTurns } = question;
  const { frequencyHertz } = at;
  const core = asked("--frequency", () => coreLoss(question.core, frequencyHertz, driveWatts, load));
  const copper = copperAt(question, frequencyHertz);
  const heat = asked("--core", () => heatEffect(question.core.mix, question.coreCelsius ?? TABLE_CELSIUS));
  const copperFraction = driveWatts === 0 ? 0 : (copper?.lossWatts ?? 0) / driveWatts;
  const { primaryTurns } = question.core;
  const end = () => wireEndVolts(driveWatts, cutWireMeters(frequencyHertz), ANTENNA_WIRE_METERS);
  return {
    ...at,
    core,
    copper,
    lossWatts: core.lossWatts + (copper?.lossWatts ?? 0),
    lossFraction: core.lossFraction + copperFraction,
    secondary: secondaryTurns === null ? null : secondaryVoltage(primaryTurns, secondaryTurns, driveWatts, load),
    wireEndVolts: secondaryTurns === null ? null : end(),
    heat,
    impossible: heat.collapsed || core.lossFraction >= 1,
  };
}

function copperAt(question: LossQuestion, frequencyHertz: number): CopperLoss | null {
  const { core, driveWatts, load, secondaryTurns, wireDiameterMeters, coreCelsius } = question;
  if (secondaryTurns === null || wireDiameterMeters === null) return null;
  const winding = { primaryTurns: core.primaryTurns, secondaryTurns, wireDiameterMeters, leadMeters: 0 };
  // A low load resistance means more current: the low bound is the warm one for copper.
  const { low } = voltsSquaredPerWatt(load);
  const celsius = coreCelsius ?? TABLE_CELSIUS;
  return asked("--wire", () => copperLoss(winding, core.toroids, frequencyHertz, driveWatts, low, celsius));
}

/** One frequency as JSON; the design's four keys first. */
export function lossJson(question: LossQuestion, answer: LossAnswer): object {
  const { core, copper, secondary } = answer;
  return {
    ...(answer.band === null ? {} : { band: answer.band, frequency_hertz: answer.frequencyHertz }),
    loss_watts: answer.lossWatts,
    loss_fraction: answer.lossFraction,
    flux_density_tesla: core.fluxDensityTesla,
    impedance_ohms: core.impedanceOhms,
    core_loss_watts: core.lossWatts,
    core_loss_low_watts: core.lowLossWatts,
    core_loss_high_watts: core.highLossWatts,
    copper_loss_watts: copper?.lossWatts ?? null,
    loss_fraction_beside_load: core.lossFractionBesideLoad,
    flux_density_bore_tesla: core.boreFluxDensityTesla,
    primary_volts: core.primaryVolts,
    secondary_volts: secondary?.secondaryVolts ?? null,
    secondary_peak_volts: secondary?.secondaryPeakVolts ?? null,
    wire_end_volts: answer.wireEndVolts,
    core_temperature_loss_factor: question.coreCelsius === null ? null : answer.heat.lossFactor,
    bridges_table_gap: core.gap !== null,
  };
}

/** One frequency for people. */
export function lossLines(question: LossQuestion, answer: LossAnswer): Figure[] {
  const { driveWatts, coreCelsius } = question;
  const { core, copper, secondary } = answer;
  const worst = question.load.kind === "swr" ? ", at the worst of this SWR" : "";
  const milli = (tesla: number): string => figure(tesla * 1e3);
  const kilo = (volts: number): string => figure(volts / 1e3);
  const figures: Figure[] = [
    ["core", transformer(question)],
    ["at", `${figure(answer.frequencyHertz / 1e6, 5)} MHz, ${figure(driveWatts, 4)} W`],
    ["core loss", `${figure(core.lossWatts)} W`],
  ];
  if (core.highLossWatts > core.lossWatts) {
    figures.push(["  by the SWR", `${figure(core.lowLossWatts)} to ${figure(core.highLossWatts)} W`]);
  }
  if (copper !== null) {
    const split = `primary ${figure(copper.primaryWatts)}, secondary ${figure(copper.secondaryWatts)}`;
    figures.push(["copper loss", `${figure(copper.lossWatts)} W (${split})`]);
  }
  if (coreCelsius !== null) {
    const { lossFactor } = answer.heat;
    const warm = `core loss × ${figure(lossFactor)} = ${figure(core.lossWatts * lossFactor)} W`;
    figures.push([`core at ${figure(coreCelsius)} °C`, `${warm} (estimated)`]);
  }
  const bore = `${milli(core.boreFluxDensityTesla)} mT at the bore`;
  figures.push(
    ["loss fraction", `${percent(answer.lossFraction)} of what core and wire take together`],
    ["  or", `${percent(core.lossFractionBesideLoad)} of the input, if the wire alone is the matched load`],
    ["flux density", `${milli(core.fluxDensityTesla)} mT peak (${bore})${worst}`],
    ["impedance", `${figure(core.impedanceOhms.real)} + j${figure(core.impedanceOhms.imaginary)} Ω`],
    ["primary", `${figure(core.primaryVolts)} V rms`],
  );
  const ratio = saturationRatio(question.core.mix, core.boreFluxDensityTesla, coreCelsius ?? TABLE_CELSIUS);
  if (ratio !== null) figures.push(["of saturation", percent(ratio)]);
  if (secondary !== null && answer.wireEndVolts !== null) {
    const peak = kilo(secondary.secondaryPeakVolts);
    figures.push(
      ["secondary", `${kilo(secondary.secondaryVolts)} kV rms, ${peak} kV peak${worst}`],
      ["wire's end", `about ${figure(answer.wireEndVolts / 1e3, 2)} kV rms on a half-wave wire, good to a third`],
    );
  }
  return figures;
}

/** All bands for people: one line each. */
export function bandLines(question: LossQuestion, answers: readonly LossAnswer[]): string[] {
  const head = ["band", "MHz", "loss W", "loss %", "flux mT", "impedance Ω"];
  const rows = answers.map(({ band, frequencyHertz, lossWatts, lossFraction, core }) => [
    band ?? "",
    figure(frequencyHertz / 1e6, 4),
    figure(lossWatts) + (core.gap === null ? "" : " *"),
    figure(lossFraction * 100),
    figure(core.fluxDensityTesla * 1e3),
    `${figure(core.impedanceOhms.real)} + j${figure(core.impedanceOhms.imaginary)}`,
  ]);
  const all = [head, ...rows];
  const widths = head.map((_, column) => Math.max(...all.map((cells) => cells[column]!.length)));
  const table = all.map((cells) =>
    cells
      .map((cell, column) => cell.padEnd(widths[column]!))
      .join("  ")
      .trimEnd(),
  );
  return [`${transformer(question)}, ${figure(question.driveWatts, 4)} W`, ...table];
}

function transformer({ core }: LossQuestion): string {
  return `${core.toroids.length} × mix ${core.mix.name}, ${core.primaryTurns} turn${core.primaryTurns === 1 ? "" : "s"}`;
}

/** What must be said beside the figures. */
export function notesOn(question: LossQuestion, answers: readonly LossAnswer[]): string[] {
  const { mix } = question.core;
  const notes: string[] = [];
  const gap = answers.find((answer) => answer.core.gap !== null)?.core.gap;
  if (gap !== null && gap !== undefined) {
    const range = `${figure(gap.lowHertz / 1e6)} and ${figure(gap.highHertz / 1e6)} MHz`;
    const which = answers.length > 1 ? "a figure with *" : "this figure";
    notes.push(`Mix ${mix.name} has no published points between ${range}: ${which} bridges the gap.`);
  }
  if (answers.every((answer) => answer.copper === null)) {
    notes.push("Copper loss is not counted: give --wire and --secondary-turns.");
  }
  if (answers.some((answer) => answer.core.lossFraction >= 1)) {
    notes.push("The core alone would take more than the whole drive: no such match exists.");
  }
  if (answers.some((answer) => answer.heat.collapsed)) {
    notes.push(`The core is at its Curie point or beyond (${mix.curieCelsius} °C): no figure holds.`);
  }
  if (question.secondaryTurns !== null) notes.push(VOLTAGE_CAUTION);
  return notes;
}
