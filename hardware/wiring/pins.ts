// Which pin of the header carries what in these drawings, and which chip sits at which address: the one list that the
// drawings, the pin map and the guide are made from. A station may differ; its config is what the daemon goes by.

import { HEADER_PINS, type HeaderLine, type HeaderPin, headerLine } from "../header.ts";

export type WiredLine = {
  /** Name in the drawings; `config` is its place in the config. */
  readonly name: string;
  readonly config: readonly [table: string, key: string] | null;
  readonly offset: number;
  readonly what: string;
  readonly needed: boolean;
};

export const WIRED_LINES: readonly WiredLine[] = [
  { name: "SDA", config: null, offset: 2, what: "I²C data, pulled up on the board", needed: true },
  { name: "SCL", config: null, offset: 3, what: "I²C clock, pulled up on the board", needed: true },
  { name: "tach", config: ["tach", "line"], offset: 17, what: "fan's tach, in", needed: true },
  { name: "reduce", config: ["relay", "reduce"], offset: 23, what: "permit line `reduce`, out", needed: true },
  { name: "inhibit", config: ["relay", "inhibit"], offset: 24, what: "permit line `inhibit`, out", needed: true },
  { name: "pulse", config: ["relay", "pulse"], offset: 25, what: "pulse for the one-shot, out", needed: false },
  { name: "fan_cut", config: ["fan_cut", "line"], offset: 27, what: "switch in the fan's supply, out", needed: false },
  { name: "ptt", config: ["ptt", "line"], offset: 22, what: "PTT line through an isolator, in", needed: false },
  { name: "buzzer", config: ["buzzer", "line"], offset: 18, what: "buzzer's transistor, out", needed: false },
];

/** Supplies taken from the header, by what they feed. */
const WIRED_SUPPLIES = {
  sensors: 1,
  board: 2,
  boardGround: 6,
  sensorGround: 9,
  tachSupply: 17,
  tachGround: 14,
  relayGround: 20,
  oneShotSupply: 17,
} as const;

/** @throws RangeError for a name that is not wired */
function wiredLine(name: string): WiredLine {
  const line = WIRED_LINES.find((candidate) => candidate.name === name);
  if (line === undefined) throw new RangeError(`no line is named ${name}`);
  return line;
}

/** `pin 11`, as a config has it. */
export function pinOf(name: string): string {
  return `pin ${headerOf(name).pin}`;
}

/** `pin 11, GPIO17` */
export function pinText(name: string): string {
  return `${pinOf(name)}, ${headerOf(name).name}`;
}

function headerOf(name: string): HeaderLine {
  const { offset } = wiredLine(name);
  const header = headerLine(offset);
  if (header === null) throw new RangeError(`GPIO${offset} is not on the header`);
  return header;
}

/** `pin 6, ground` */
export function supplyText(use: keyof typeof WIRED_SUPPLIES): string {
  const pin = WIRED_SUPPLIES[use];
  return `pin ${pin}, ${HEADER_PINS[pin - 1]?.name ?? ""}`;
}

/** Chips of the drawings at their addresses, as in the whole station's config. */
export const WIRED_CHIPS = [
  { part: "B1", name: "inlet", chip: "sht4x", address: 0x44 },
  { part: "B2", name: "outlet", chip: "tmp117", address: 0x48 },
] as const;

export type PinRow = { readonly pin: HeaderPin; readonly use: string | null };

/** All 40 pins with what these drawings connect. */
export function pinRows(): readonly PinRow[] {
  const supplies: Readonly<Record<number, string>> = {
    [WIRED_SUPPLIES.sensors]: "thermometers",
    [WIRED_SUPPLIES.board]: "from the converter, through F3",
    [WIRED_SUPPLIES.boardGround]: "converter",
    [WIRED_SUPPLIES.sensorGround]: "thermometers",
    [WIRED_SUPPLIES.tachSupply]: "tach's pull-up",
    [WIRED_SUPPLIES.tachGround]: "tach",
    [WIRED_SUPPLIES.relayGround]: "relays",
  };
  return HEADER_PINS.map((pin) => {
    if (pin.kind === "supply") return { pin, use: supplies[pin.pin] ?? null };
    const line = WIRED_LINES.find(({ offset }) => offset === pin.offset);
    return { pin, use: line === undefined ? null : line.what.replaceAll("`", "") };
  });
}
