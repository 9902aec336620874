// The GPIO lines that a config names: what each one is for, and what can be told of them without a board: pins that carry no
// line, and lines wanted twice however they are written.

import { headerOffset, headerPin } from "../../hardware/gpio/header-lines.ts";
import { placeOfLine } from "../../hardware/place.ts";
import type { LineSpec } from "../../hardware/ports.ts";
import type { ReadConfig } from "./parse.ts";
import type { Problem } from "./problem.ts";
import type { Config } from "./schema/config.ts";
import type { LineText } from "./schema/fields.ts";

/** One line with the key that names it. */
type WiredLine = {
  readonly path: readonly [string, string];
  readonly line: LineText;
  readonly chip: string | undefined;
};

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
  const taken = new Map<string, string>();
  for (const { path, line, chip } of wiredLines(config)) {
    const [what, where] = [path.join("."), placeOf(path)];
    const fault = pinFault(line, chip);
    if (fault !== null) {
      yield { what, where, ...fault };
      continue;
    }
    const thing = nameOf(lineSpec(line, chip));
    const holder = taken.get(thing);
    taken.set(thing, holder ?? what);
    if (holder !== undefined) yield { what, where, expected: `something other than ${holder} has`, got: thing };
  }
}

function pinFault(
  line: LineText,
  chip: string | undefined,
): { readonly expected: string; readonly got: string } | null {
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

/** The same words for the same line, whether its number, its pin or its name was written. */
function nameOf(line: LineSpec): string {
  const offset = headerOffset(line);
  if (offset !== null) return `line ${offset} of the header's chip`;
  return "offset" in line ? `line ${line.offset} of ${line.chipLabel}` : placeOfLine(line);
}
