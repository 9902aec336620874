// `emberwire wire-drop`: what a long thin pair leaves of the supply at the fan.
// It never says whether a wire may carry the current safely: fuse it at the source.
import type { Command } from "commander";
import { RequestError } from "../config/problem.ts";
import { quantity } from "../config/quantity.ts";
import { awgDiameterMeters, type WireDrop, wireDrop } from "../core/physics/wire.ts";
import { COMMAND_LINE, type Figure, figure, percent, writeFigures, writeJson } from "./figures.ts";

type Flags = {
  readonly awg?: string;
  readonly diameter?: string;
  readonly length: string;
  readonly current: string;
  readonly supply: string;
  readonly temperature: string;
  readonly json?: boolean;
};

// Below nine tenths of its nominal voltage a fan is slow, and may not start in the cold (common practice, no source).
const WEAK_SHARE = 0.9;

const EXAMPLE = `
Example:
  emberwire wire-drop --awg 24 --length 30m --current 0.1A --supply 12V

The length is one way; both conductors count. Solid copper; stranded wire of the same gauge is a few per cent higher.
Fuse the pair at the supply end.`;

/** Adds `wire-drop` to the program. */
export function register(program: Command): void {
  program
    .command("wire-drop")
    .description("voltage left at the fan after a long pair of wires")
    .option("--awg <gauge>", "wire gauge, such as 24 (or 2/0)")
    .option("--diameter <length>", "conductor diameter, such as 0.5mm, instead of --awg")
    .requiredOption("--length <length>", "length one way, such as 30m or 100ft")
    .requiredOption("--current <current>", "current of the fan, such as 0.1A")
    .requiredOption("--supply <voltage>", "voltage at the supply, such as 12V")
    .option("--temperature <temperature>", "of the wire", "20C")
    .option("--json", "print JSON")
    .addHelpText("after", EXAMPLE)
    .action((flags: Flags, command: Command) => answer(command, flags));
}

function answer(command: Command, flags: Flags): void {
  const at = (what: string, low: number, high: number) => ({ what, where: COMMAND_LINE, low, high });
  const diameterMeters = readDiameter(flags);
  const supplyVolts = quantity(flags.supply, "voltage", at("--supply", 0.1, 1000));
  const drop = wireDrop({
    diameterMeters,
    lengthMeters: quantity(flags.length, "length", at("--length", 0, 10_000)),
    currentAmperes: quantity(flags.current, "current", at("--current", 0, 1000)),
    supplyVolts,
    celsius: quantity(flags.temperature, "temperature", at("--temperature", -60, 200)),
  });
  if (flags.json === true) {
    const { resistanceOhms, dropVolts, farVolts } = drop;
    writeJson(command, { resistance_ohms: resistanceOhms, drop_volts: dropVolts, fan_volts: Math.max(0, farVolts) });
  } else writeFigures(command, lines(diameterMeters, supplyVolts, drop), notes(drop, supplyVolts));
  if (drop.farVolts < WEAK_SHARE * supplyVolts) process.exitCode = 1;
}

function readDiameter(flags: Flags): number {
  if ((flags.awg === undefined) === (flags.diameter === undefined)) {
    const got = flags.awg === undefined ? "neither" : "both";
    throw new RequestError([{ what: "--awg", where: COMMAND_LINE, expected: "either --awg or --diameter", got }]);
  }
  if (flags.diameter !== undefined) {
    return quantity(flags.diameter, "length", { what: "--diameter", where: COMMAND_LINE, low: 1e-5, high: 0.05 });
  }
  const gauge = flags.awg ?? "";
  // 1/0 is gauge 0, 2/0 is −1, and so on.
  const aught = /^\s*([1-4])\/0\s*$/.exec(gauge);
  const place = { what: "--awg", where: COMMAND_LINE, low: 0, high: 50 };
  return awgDiameterMeters(aught === null ? quantity(gauge, "count", place) : 1 - Number(aught[1]));
}

function lines(diameterMeters: number, supplyVolts: number, drop: WireDrop): Figure[] {
  return [
    ["conductor", `${figure(diameterMeters * 1e3, 4)} mm`],
    ["resistance", `${figure(drop.resistanceOhms)} Ω there and back`],
    ["drop", `${figure(drop.dropVolts)} V (${percent(drop.dropVolts / supplyVolts, 2)} of the supply)`],
    [
      "at the fan",
      drop.farVolts > 0 ? `${figure(drop.farVolts, 4)} V` : "nothing: this pair cannot carry that current",
    ],
  ];
}

function notes(drop: WireDrop, supplyVolts: number): string[] {
  if (drop.farVolts >= WEAK_SHARE * supplyVolts) return [];
  return [
    "More than a tenth is lost on the way: the fan runs slow and may not start in the cold. Use thicker wire, a higher supply with a regulator at the fan, or less length.",
  ];
}
