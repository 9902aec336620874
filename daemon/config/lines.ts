// The GPIO lines that a config names: what each one is for, and what can be told of them without a board: pins that carry no
// line, and lines wanted twice however they are written.

import { headerOffset, headerPin } from "../../hardware/gpio/header-lines.ts";
import { CONSOLE_OUTPUT, type HeaderLine, headerLine } from "../../hardware/header.ts";
import { placeOfLine } from "../../hardware/place.ts";
import type { LineSpec } from "../../hardware/ports.ts";
import type { ReadConfig } from "./parse.ts";
import type { Problem } from "./problem.ts";
import type { Config } from "./schema/config.ts";
import type { LineText } from "./schema/fields.ts";

/** One line with the key that names it. */
export type WiredLine = {
  readonly path: readonly [table: string, key: string];
  readonly line: LineText;
  readonly chip: string | undefined;
};

/** Why a line will not do. */
export type LineFault = { readonly expected: string; readonly got: string };

/** The line as the hardware layer wants it. */
export function lineSpec(line: LineText, chip: string | undefined): LineSpec {
  return "headerPin" in line ? line : { chipLabel: chip ?? null, ...line };
}

function wiredLines({ tach, ptt, relay, buzzer, fan_cut }: Config): readonly WiredLine[] {
  const lines: WiredLine[] = [];
  if (tach.fitted && tach.line !== undefined) lines.push({ path: ["tach", "line"], line: tach.line, chip: tach.chip });
  for (const name of ["reduce", "inhibit", "pulse"] as const) {
    const wired = relay?.[name];
    if (wired !== undefined) lines.push({ path: ["relay", name], line: wired, chip: relay?.chip });
  }
  for (const [name, table] of [["ptt", ptt] as const, ["buzzer", buzzer] as const, ["fan_cut", fan_cut] as const]) {
    if (table !== undefined) lines.push({ path: [name, "line"], line: table.line, chip: table.chip });
  }
  return lines;
}

/** Everything about the lines that no board could mend. */
export function* lineProblems({ config, placeOf }: ReadConfig): Generator<Problem> {
  const lines = wiredLines(config);
  for (const [index, line] of lines.entries()) {
    const fault = lineFault(line, lines.slice(0, index));
    if (fault !== null) yield { what: line.path.join("."), where: placeOf(line.path), ...fault };
  }
}

/** What is wrong with a line beside those that were given before it; null when it will do on a board that has it. */
export function lineFault(wired: WiredLine, before: readonly WiredLine[]): LineFault | null {
  const { line, chip, path } = wired;
  const unfit = pinFault(line, chip) ?? highFault(lineSpec(line, chip), path.join("."));
  if (unfit !== null) return unfit;
  const thing = nameOf(lineSpec(line, chip));
  const holder = before.find((other) => nameOf(lineSpec(other.line, other.chip)) === thing);
  return holder === undefined ? null : { expected: `something other than ${holder.path.join(".")} has`, got: thing };
}

function pinFault(line: LineText, chip: string | undefined): LineFault | null {
  if (!("headerPin" in line)) return null;
  const pin = headerPin(line.headerPin);
  if (pin?.kind !== "line") {
    return {
      expected: "a pin that is a GPIO line",
      got: `pin ${line.headerPin}, ${pin?.name ?? "which is not there"}`,
    };
  }
  if (chip === undefined) return null;
  return { expected: `a line's number or name on ${chip}`, got: `pin ${line.headerPin}, which is the header's` };
}

/** What a high level does there while no program runs. */
const WHILE_HIGH: Readonly<Record<string, string>> = {
  "relay.reduce": "would permit power while no program runs",
  "relay.inhibit": "would permit power while no program runs",
  "fan_cut.line": "would cut the fan off while no program runs",
};

/** Some lines of the header are high from power-up until a program says otherwise: nothing that must be released then may hang there. */
function highFault(line: LineSpec, what: string): LineFault | null {
  const harm = WHILE_HIGH[what];
  const pin = headerLine(headerOffset(line) ?? -1);
  const why = pin === null ? null : highBy(pin);
  if (harm === undefined || pin === null || why === null) return null;
  const expected = "a line that is low from power-up, one of GPIO9 to GPIO27 but not GPIO14";
  return { expected, got: `pin ${pin.pin}, ${pin.name}, which ${why} and ${harm}` };
}

function highBy({ offset, resetPull }: HeaderLine): string | null {
  if (resetPull === "up") return "is pulled up";
  return offset === CONSOLE_OUTPUT ? "a serial console holds high" : null;
}

/** The same words for the same line, whether its number, its pin or its name was written. */
function nameOf(line: LineSpec): string {
  const offset = headerOffset(line);
  if (offset !== null) return `line ${offset} of the header's chip`;
  return "offset" in line ? `line ${line.offset} of ${line.chipLabel}` : placeOfLine(line);
}
