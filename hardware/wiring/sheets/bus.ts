// The thermometers' I²C bus: short, slow, shielded, with its pull-ups in one place.

import { pinText, supplyText, WIRED_CHIPS } from "../pins.ts";
import { type Block, type Placed, type Sheet, wire } from "../sheet.ts";
import { longestCableMeters, mostModulesWithPullUps } from "../sums.ts";

/** The supply and ground stand side by side, with room for a capacitor between. */
const LINES = [
  ["SDA", 4.5],
  ["SCL", 7.5],
  ["3.3 V", 10.5],
  ["0 V", 14.5],
] as const;
const TOPS = [7, 26] as const;

function chip(index: 0 | 1): Block {
  const { name, chip: type, address } = WIRED_CHIPS[index];
  return {
    title: `${WIRED_CHIPS[index].part}, ${name}`,
    lines: [`${type.toUpperCase().replace("X", "x")} at 0x${address.toString(16)}`],
    at: [70, TOPS[index]],
    size: [14, 16.5],
    terminals: LINES.map(([name, along]) => ({ side: "left", along, name })),
  };
}

const capacitor = (index: 0 | 1): Placed => ({
  kind: "capacitor",
  id: index === 0 ? "C6" : "C7",
  at: [65, TOPS[index] + 12.5],
  turn: 90,
});

export function busSheet(): Sheet {
  return {
    name: "bus",
    title: "Thermometers on the I²C bus",
    description:
      "Four lines leave the header: 3.3 V, data and clock through 100 ohm resistors, ground. A shielded cable takes them to the inlet and the outlet thermometer, each with a capacitor across its supply.",
    size: [88, 52],
    places: [
      { title: "Board's enclosure", at: [1.5, 4.5], size: [25, 21] },
      { title: "Box at the feedpoint", at: [56, 4.5], size: [30.5, 40] },
    ],
    blocks: [
      {
        title: "Header",
        at: [3, 7],
        size: [12, 16.5],
        terminals: [
          { side: "right", along: 4.5, name: pinText("SDA") },
          { side: "right", along: 7.5, name: pinText("SCL") },
          { side: "right", along: 10.5, name: supplyText("sensors") },
          { side: "right", along: 14.5, name: supplyText("sensorGround") },
        ],
      },
      chip(0),
      chip(1),
    ],
    parts: [
      { kind: "resistor", id: "R9", at: [21, 11.5] },
      { kind: "resistor", id: "R10", at: [21, 14.5] },
      capacitor(0),
      capacitor(1),
    ],
    wires: [
      "15,11.5 19,11.5",
      "23,11.5 70,11.5",
      "15,14.5 19,14.5",
      "23,14.5 70,14.5",
      "15,17.5 70,17.5",
      "15,21.5 70,21.5",
      "61,11.5 61,30.5 70,30.5",
      "60,14.5 60,33.5 70,33.5",
      "59,17.5 59,36.5 70,36.5",
      "58,21.5 58,40.5 70,40.5",
    ].map(wire),
    notes: [
      { at: [28, 10], text: "shielded; twist data with 3.3 V, clock with 0 V" },
      { at: [28, 23.4], text: "a ferrite clamp at each end, shields bonded" },
      {
        at: [1.5, 47],
        text: `The board pulls both lines up with 1.8 kΩ. Modules with 10 kΩ of their own: at most ${mostModulesWithPullUps(10_000)}; with 4.7 kΩ: at most ${mostModulesWithPullUps(4_700)}. Take the others' off.`,
      },
      {
        at: [1.5, 48.6],
        text: `At 100 pF a metre, ${longestCableMeters(WIRED_CHIPS.length).toFixed(1)} m of cable is what the bus specification allows for these two chips. Shorter is better; longer needs a pair of differential bus buffers.`,
      },
      {
        at: [1.5, 50.2],
        text: "Set the bus to 10 to 50 kHz (below). The inlet's chip in the shade of the inlet, the outlet's in the stream, neither on the box wall.",
      },
    ],
  };
}
