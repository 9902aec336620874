// The two permit lines, from the header's pins to the transmitter: energised = permitted, all the way.

import { pinText, supplyText } from "../pins.ts";
import type { Placed, Point, Sheet, Wire } from "../sheet.ts";
import { wire } from "../sheet.ts";

/** References of one line's parts. */
type Line = {
  readonly pin: string;
  readonly gate: string;
  readonly release: string;
  readonly transistor: string;
  readonly diode: string;
  readonly relay: string;
  readonly far: string;
  readonly farDiode: string;
};

const REDUCE: Line = {
  pin: "reduce",
  gate: "R3",
  release: "R4",
  transistor: "Q1",
  diode: "D4",
  relay: "K1",
  far: "K3",
  farDiode: "D6",
};
const INHIBIT: Line = {
  pin: "inhibit",
  gate: "R5",
  release: "R6",
  transistor: "Q2",
  diode: "D5",
  relay: "K2",
  far: "K4",
  farDiode: "D7",
};

/** Everything is drawn from this row's first line downwards. */
const down = (y: number, corners: string): Wire => wire(corners).map(([x, dy]): Point => [x, y + dy]);

function driver(y: number, line: Line): readonly Placed[] {
  return [
    { kind: "resistor", id: line.gate, at: [20, y + 9] },
    { kind: "resistor", id: line.release, at: [24, y + 12], turn: 90, label: "left" },
    { kind: "transistor", id: line.transistor, at: [28, y + 9] },
    { kind: "coil", id: line.relay, at: [29, y + 4], turn: 90, label: "left" },
    { kind: "supply", id: "5 V", at: [29, y + 2] },
    { kind: "diode", id: line.diode, at: [33, y + 4], turn: 270 },
    { kind: "make", id: line.relay, at: [43, y + 3] },
  ];
}

const driverWires = (y: number): readonly Wire[] =>
  [
    "14,9 18,9",
    "22,9 26,9",
    "24,9 24,10",
    "24,14 29,14",
    "29,6 29,7",
    "29,2 33,2",
    "29,6 33,6",
    "29,11 29,15",
    "14,15 29,15",
    "41,3 41,9 78,9",
  ].map((corners) => down(y, corners));

function far(y: number, line: Line): readonly Placed[] {
  return [
    { kind: "coil", id: line.far, at: [78, y + 11], turn: 90, label: "left" },
    { kind: "diode", id: line.farDiode, at: [82, y + 11], turn: 270 },
    { kind: "ground", id: "0 V of the shack", at: [78, y + 13] },
  ];
}

const farWires = (y: number): readonly Wire[] => ["78,9 82,9", "78,13 82,13"].map((corners) => down(y, corners));

export function permitSheet(): Sheet {
  const [reduce, inhibit] = [5, 25] as const;
  return {
    name: "permit",
    title: "Permit lines, fail-safe: energised = permitted",
    description:
      "Each permit pin drives a MOSFET with a gate resistor to ground and a relay. The relay's make contact closes a loop fed from the shack through a fuse. In the shack the reduce loop's relay takes the ALC bias off, and the inhibit loop's relay closes the amplifier's keying line. A thermal cutout at the box stands in series with the inhibit loop.",
    size: [118, 54],
    places: [
      { title: "Board's enclosure", at: [1.5, 4.5], size: [47, 39.5] },
      { title: "Box at the feedpoint", at: [50, 22.5], size: [16, 9] },
      { title: "Shack", at: [68.5, 4.5], size: [48, 39.5] },
    ],
    blocks: [
      {
        title: "Header",
        at: [3, 11],
        size: [11, 10],
        terminals: [
          { side: "right", along: 3, name: pinText("reduce") },
          { side: "right", along: 9, name: supplyText("relayGround") },
        ],
      },
      {
        title: "Header",
        at: [3, 31],
        size: [11, 10],
        terminals: [
          { side: "right", along: 3, name: pinText("inhibit") },
          { side: "right", along: 9, name: supplyText("relayGround") },
        ],
      },
      {
        title: "ALC bias",
        lines: ["see the", "handbook"],
        at: [87, 13],
        size: [8, 5],
        terminals: [{ side: "right", along: 3, name: "" }],
      },
      {
        title: "Transmitter",
        lines: ["ALC input"],
        at: [104, 13],
        size: [10, 5],
        terminals: [{ side: "left", along: 3, name: "" }],
      },
      {
        title: "Transmitter",
        lines: ["key out"],
        at: [86, 33],
        size: [9, 5],
        terminals: [{ side: "right", along: 3, name: "" }],
      },
      {
        title: "Amplifier",
        lines: ["key in"],
        at: [104, 33],
        size: [10, 5],
        terminals: [{ side: "left", along: 3, name: "" }],
      },
    ],
    parts: [
      ...driver(reduce, REDUCE),
      ...driver(inhibit, INHIBIT),
      { kind: "fuse", id: "F2", at: [75, 8], label: "below" },
      { kind: "supply", id: "12 V of the shack", at: [83, 8] },
      ...far(reduce, REDUCE),
      { kind: "break", id: "K3", at: [99.5, 16] },
      { kind: "cutout", id: "S1", at: [57.5, 28], label: "below" },
      { kind: "supply", id: "12 V, from F2", at: [76, 28] },
      ...far(inhibit, INHIBIT),
      { kind: "make", id: "K4", at: [99.5, 36] },
    ],
    wires: [
      ...driverWires(reduce),
      ...driverWires(inhibit),
      ...["45,8 73,8", "77,8 83,8", "45,28 55.5,28", "59.5,28 76,28"].map(wire),
      ...farWires(reduce),
      ...farWires(inhibit),
      ...["95,16 97.5,16", "101.5,16 104,16", "95,36 97.5,36", "101.5,36 104,36"].map(wire),
    ],
    notes: [
      { at: [52, 6.9], text: "twisted pair, shielded" },
      {
        at: [1.5, 46.4],
        text: "A dead board, a pin that floats, a blown fuse, a cut wire or an open cutout all take the permission away. Contacts are drawn released.",
      },
      {
        at: [1.5, 48],
        text: "GPIO23 and GPIO24 are pulled down from power-up; one of GPIO0 to GPIO8 would be pulled up, and on GPIO14 the serial console rests high: use none of them here.",
      },
      {
        at: [1.5, 49.6],
        text: "The keying line may carry more than K4 stands: old amplifiers key with over 100 V. Measure it first, or use their own interface.",
      },
    ],
  };
}
