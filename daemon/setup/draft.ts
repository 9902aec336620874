// What a set-up has found and been told, as a commented config. It writes no file and asks nobody.

import type { Role } from "../../hardware/ports.ts";
import type { FoundChip, FoundThermometer } from "../../hardware/survey.ts";
import { CONFIG_VERSION } from "../config/version.ts";

export type DraftSensor = FoundThermometer & { readonly name: string; readonly role: Role };

/** A key with its answer. */
export type DraftKey = {
  readonly table: string;
  readonly name: string;
  readonly value: string | number;
  readonly comment: string;
};

export type Draft = {
  readonly keys: readonly DraftKey[];
  readonly sensors: readonly DraftSensor[];
  /** Null = the fan has none. */
  readonly tachLine: string | number | null;
  readonly relay: { readonly reduce: string | number; readonly inhibit: string | number } | null;
  readonly supply: { readonly found: FoundChip; readonly chip: string; readonly shunt: string } | null;
  readonly drive: FoundChip | null;
};

const HEAD = `# Written by \`emberwire init\`. Every key there is: \`emberwire run --print-config-schema\`.
# After a change, with the transmitter off: \`emberwire check --config FILE\`.
`;

/** What a table is for, where that is not plain from its keys. */
const TABLE_NOTES: Readonly<Record<string, string>> = {
  transformer: "What the estimate of the core rests on until a heat run has learned this one.",
  limits: "Protection acts on the upper bound of the estimate, not on the estimate.",
};

type Line = readonly [code: string, comment?: string];

/** The whole text. */
export function draftText(draft: Draft): string {
  const tables = ["feedpoint", "transformer", "fan", "limits", "station"];
  const parts: Line[][] = [
    [[`version = ${CONFIG_VERSION}`, "of the form of this file"]],
    ...tables.map((table) => tableOf(table, draft.keys)),
    ...draft.sensors.map(sensorLines),
    tachLines(draft),
    relayLines(draft),
    ...(draft.supply === null ? [] : [supplyLines(draft.supply)]),
    ...(draft.drive === null ? [] : [driveLines(draft.drive)]),
  ];
  return `${HEAD}\n${parts
    .filter((part) => part.length > 0)
    .map(laidOut)
    .join("\n")}`;
}

function tableOf(table: string, keys: readonly DraftKey[]): Line[] {
  const own = keys.filter((key) => key.table === table);
  if (own.length === 0) return [];
  const note = TABLE_NOTES[table];
  const lines = own.map(({ name, value, comment }): Line => [`${name} = ${JSON.stringify(value)}`, comment]);
  return [...(note === undefined ? [] : [[`# ${note}`] as Line]), [`[${table}]`], ...lines];
}

const hex = (address: number): string => `0x${address.toString(16).padStart(2, "0")}`;

function sensorLines({ name, role, source, says }: DraftSensor): Line[] {
  const head: Line[] = [["[[sensor]]"], [`name = ${JSON.stringify(name)}`], [`role = "${role}"`]];
  switch (source.kind) {
    case "i2c":
      return [
        ...head,
        [`chip = "${source.chip}"`, says],
        [`bus = ${source.bus}`],
        [`address = ${hex(source.address)}`],
      ];
    case "hwmon":
      return [...head, [`hwmon = ${JSON.stringify(source.path)}`, says]];
    case "one-wire":
      return [...head, [`one_wire = ${JSON.stringify(source.path)}`, says]];
  }
}

function tachLines({ tachLine }: Draft): Line[] {
  if (tachLine === null) return [["[tach]"], ["fitted = false", "nobody sees the fan stop: fit one with a tach"]];
  return [["[tach]"], [`line = ${JSON.stringify(tachLine)}`, "open collector, pull-up to 3.3 V only"]];
}

function relayLines({ relay }: Draft): Line[] {
  if (relay === null) return [["# No [relay]: Emberwire warns, and nothing takes the power off."]];
  return [
    ["[relay]"],
    [`reduce = ${JSON.stringify(relay.reduce)}`, "energised = permitted"],
    [`inhibit = ${JSON.stringify(relay.inhibit)}`],
  ];
}

function supplyLines({ found, chip, shunt }: NonNullable<Draft["supply"]>): Line[] {
  return [
    ["[supply]"],
    [`chip = "${chip}"`, found.says],
    [`bus = ${found.bus}`],
    [`address = ${hex(found.address)}`],
    [`shunt = ${JSON.stringify(shunt)}`, "the resistor in the fan's supply"],
  ];
}

function driveLines({ bus, address, says }: FoundChip): Line[] {
  return [
    ["[drive]"],
    ['chip = "ads1115"', says],
    [`bus = ${bus}`],
    [`address = ${hex(address)}`],
    ["forward_channel = 0"],
    ["# Your detector against a wattmeter, and its other direction where that is wired:"],
    ['# calibration = [["0V", "0W"], ["1V", "167W"], ["3V", "1500W"]]'],
    ["# reflected_channel = 1"],
  ];
}

/** Comments in one column. */
function laidOut(lines: readonly Line[]): string {
  const width = Math.max(0, ...lines.filter(([, comment]) => comment !== undefined).map(([code]) => code.length));
  return lines
    .map(([code, comment]) => `${comment === undefined ? code : `${code.padEnd(width)}  # ${comment}`}\n`)
    .join("");
}
