// What a set-up has found and been told, as a commented config. It writes no file and asks nobody.

import type { Role } from "../../hardware/ports.ts";
import type { FoundThermometer } from "../../hardware/survey.ts";
import { CONFIG_VERSION } from "../config/version.ts";

export type DraftSensor = FoundThermometer & { readonly name: string; readonly role: Role };

/** A key of a table. */
export type DraftKey = {
  readonly table: string;
  readonly name: string;
  /** As TOML writes it. */
  readonly code: string;
  readonly comment: string | null;
};

export type Draft = { readonly keys: readonly DraftKey[]; readonly sensors: readonly DraftSensor[] };

/** A key from its value. */
export const draftKey = (
  table: string,
  name: string,
  value: string | number | boolean,
  comment: string | null = null,
): DraftKey => ({ table, name, code: JSON.stringify(value), comment });

/** A key with an I²C address, as data sheets write it. */
export const addressKey = (table: string, address: number): DraftKey => {
  return { table, name: "address", code: hex(address), comment: null };
};

const hex = (address: number): string => `0x${address.toString(16).padStart(2, "0")}`;

const HEAD = `# Written by \`emberwire init\`. Every key there is: \`emberwire run --print-config-schema\`.
# After a change, with the transmitter off: \`emberwire check --config FILE\`.
`;

type TableForm = {
  readonly name: string;
  /** What it is for, where that is not plain from its keys. */
  readonly note?: string;
  /** Stands in its place when it has no key. */
  readonly without?: string;
  /** Keys to be filled in by hand. */
  readonly after?: readonly string[];
};

const ABOUT: readonly TableForm[] = [
  { name: "feedpoint" },
  { name: "transformer", note: "What the estimate of the core rests on until a heat run has learned this one." },
  { name: "fan" },
  { name: "fan.power_cycle", note: "For a fan that starts again only after it was without supply." },
  { name: "limits", note: "Protection acts on the upper bound of the estimate, not on the estimate." },
  { name: "station" },
];

const WIRED: readonly TableForm[] = [
  { name: "tach" },
  { name: "fan_cut" },
  { name: "relay", without: "No [relay]: Emberwire warns, and nothing takes the power off." },
  { name: "supply" },
  {
    name: "drive",
    after: [
      "Your detector against a wattmeter, and its other direction where that is wired:",
      'calibration = [["0V", "0W"], ["1V", "167W"], ["3V", "1500W"]]',
      "reflected_channel = 1",
    ],
  },
  { name: "ptt" },
  { name: "buzzer" },
  {
    name: "rig",
    after: [
      "Watts at the feedpoint per watt on the rig's meter, measured; and the rig's own power while the stage is below full:",
      "factor = 11.5",
      'reduce_to = "20%"',
    ],
  },
  { name: "mqtt", note: "Nothing is taken from the broker." },
  { name: "log" },
];

type Line = readonly [code: string, comment?: string | null];

/** The whole text. @throws RangeError for a key of a table that has no place in it */
export function draftText({ keys, sensors }: Draft): string {
  const known = new Set([...ABOUT, ...WIRED].map(({ name }) => name));
  const lost = keys.find(({ table }) => !known.has(table));
  if (lost !== undefined) throw new RangeError(`no place for the table ${lost.table}`);
  const parts: Line[][] = [
    [[`version = ${CONFIG_VERSION}`, "of the form of this file"]],
    ...ABOUT.map((form) => tableOf(form, keys)),
    ...sensors.map(sensorLines),
    ...WIRED.map((form) => tableOf(form, keys)),
  ];
  return `${HEAD}\n${parts
    .filter((part) => part.length > 0)
    .map(laidOut)
    .join("\n")}`;
}

function tableOf({ name: table, note, without, after = [] }: TableForm, keys: readonly DraftKey[]): Line[] {
  const own = keys.filter((key) => key.table === table);
  if (own.length === 0) return without === undefined ? [] : [[`# ${without}`]];
  return [
    ...(note === undefined ? [] : [[`# ${note}`] as Line]),
    [`[${table}]`],
    ...own.map(({ name, code, comment }): Line => [`${name} = ${code}`, comment]),
    ...after.map((text): Line => [`# ${text}`]),
  ];
}

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

/** Comments in one column. */
function laidOut(lines: readonly Line[]): string {
  const width = Math.max(0, ...lines.filter(([, comment]) => comment != null).map(([code]) => code.length));
  return lines.map(([code, comment]) => `${comment == null ? code : `${code.padEnd(width)}  # ${comment}`}\n`).join("");
}
