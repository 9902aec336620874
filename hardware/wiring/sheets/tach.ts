// The tachometer's input: open collector, pull-up to 3.3 V, RF kept out at the entry.

import { pinText, supplyText } from "../pins.ts";
import { type Sheet, wire } from "../sheet.ts";
import { tachFigures } from "../sums.ts";

export function tachSheet(): Sheet {
  const { riseMicroseconds, halfPeriodMicroseconds, rfDecibels } = tachFigures();
  return {
    name: "tach",
    title: "Tachometer input",
    description:
      "The fan's tach lead comes through a bead, is pulled up to 3.3 V by R1 and reaches the header pin through R2 with C3 to ground; C4 leads RF away at the entry, D2 and D3 clamp the pin.",
    size: [80, 33],
    places: [
      { title: "Box at the feedpoint", at: [1.5, 4.5], size: [16, 20] },
      { title: "Board's enclosure", at: [27, 4.5], size: [51.5, 20] },
    ],
    blocks: [
      {
        title: "Fan M1",
        at: [4, 9],
        size: [10, 13],
        terminals: [
          { side: "right", along: 4, name: "+12 V" },
          { side: "right", along: 8, name: "tach" },
          { side: "right", along: 12, name: "0 V" },
        ],
      },
      {
        title: "Header",
        at: [64, 14],
        size: [12, 8.5],
        terminals: [
          { side: "left", along: 3, name: pinText("tach") },
          { side: "left", along: 7, name: supplyText("tachGround") },
        ],
      },
    ],
    parts: [
      { kind: "supply", id: "+12 V, fused", at: [33, 13] },
      { kind: "capacitor", id: "C4", at: [30, 19], turn: 90, label: "right" },
      { kind: "bead", id: "FB1", at: [36, 17], label: "below" },
      { kind: "resistor", id: "R1", at: [42, 15], turn: 90 },
      { kind: "supply", id: supplyText("tachSupply"), at: [42, 13] },
      { kind: "resistor", id: "R2", at: [48, 17], label: "below" },
      { kind: "capacitor", id: "C3", at: [53, 19], turn: 90 },
      { kind: "schottky", id: "D2", at: [60, 15], turn: 270 },
      { kind: "supply", id: "3.3 V", at: [60, 13] },
      { kind: "schottky", id: "D3", at: [60, 19], turn: 270 },
    ],
    wires: ["14,13 33,13", "14,17 34,17", "38,17 46,17", "50,17 64,17", "14,21 64,21"].map(wire),
    notes: [
      { at: [18.2, 19.3], text: "shielded cable" },
      {
        at: [1.5, 27],
        text: "The pull-up goes to 3.3 V and nowhere else: 5 V or 12 V on the pin destroys the board. The lead only pulls down.",
      },
      {
        at: [1.5, 28.6],
        text: `Edges rise with a time constant of ${riseMicroseconds} µs; half a period at 800 Hz lasts ${halfPeriodMicroseconds} µs.`,
      },
      {
        at: [1.5, 30.2],
        text: `R2 with C3 takes ${rfDecibels} dB off a signal at 3.5 MHz, before the bead and C4 are counted.`,
      },
    ],
  };
}
