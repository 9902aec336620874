// Supply: fused at its source, filtered at the entry; fan through the shunt, board through the converter.

import { supplyText } from "../pins.ts";
import { type Sheet, wire } from "../sheet.ts";
import { loadAmperes } from "../sums.ts";

export function supplySheet(): Sheet {
  return {
    name: "supply",
    title: "Supply, fused and filtered",
    description:
      "A 12 V supply or battery in the shack is fused at its plus pole. In the board's enclosure both leads pass a common-mode choke, D1 clamps surges, C1 and C2 filter. The fan is fed through the shunt of the supply monitor, the board through a 5 V converter and fuse F3.",
    size: [99, 36],
    places: [
      { title: "Shack", at: [1.5, 4.5], size: [25, 24] },
      { title: "Board's enclosure", at: [34, 4.5], size: [63.5, 24] },
    ],
    blocks: [
      {
        title: "12 V supply",
        lines: ["or battery. Mains is for", "a licensed electrician"],
        danger: true,
        at: [3.5, 9],
        size: [15, 17.5],
        terminals: [
          { side: "right", along: 3, name: "+" },
          { side: "right", along: 16, name: "−" },
        ],
      },
      {
        title: "A2",
        lines: ["INA219", "0.1 Ω"],
        at: [65, 9],
        size: [11, 6],
        terminals: [
          { side: "left", along: 3, name: "in" },
          { side: "right", along: 3, name: "out" },
        ],
      },
      {
        title: "Fan M1",
        at: [87, 9],
        size: [9, 7],
        terminals: [
          { side: "left", along: 3, name: "+12 V" },
          { side: "left", along: 5, name: "0 V" },
        ],
      },
      {
        title: "A1",
        lines: ["12 V → 5 V"],
        at: [65, 18],
        size: [11, 8],
        terminals: [
          { side: "left", along: 3, name: "in" },
          { side: "left", along: 7, name: "0 V" },
          { side: "right", along: 3, name: "5 V" },
          { side: "right", along: 7, name: "0 V" },
        ],
      },
      {
        title: "Header",
        at: [85, 18],
        size: [11, 8],
        terminals: [
          { side: "left", along: 3, name: supplyText("board") },
          { side: "left", along: 7, name: supplyText("boardGround") },
        ],
      },
    ],
    parts: [
      { kind: "fuse", id: "F1", at: [22.5, 12] },
      { kind: "choke", id: "L1", at: [38, 12] },
      { kind: "choke", id: "L1", at: [38, 25], label: "below" },
      { kind: "suppressor", id: "D1", at: [43, 18], turn: 270 },
      { kind: "capacitor", id: "C1", at: [49, 18], turn: 90 },
      { kind: "capacitor", id: "C2", at: [56, 18], turn: 90 },
      { kind: "fuse", id: "F3", at: [80, 21] },
    ],
    wires: [
      "18.5,12 20.5,12",
      "24.5,12 36,12",
      "18.5,25 36,25",
      "40,12 65,12",
      "40,25 65,25",
      "43,12 43,16",
      "43,20 43,25",
      "49,12 49,16",
      "49,20 49,25",
      "56,12 56,16",
      "56,20 56,25",
      "62.5,12 62.5,21 65,21",
      "76,12 87,12",
      "76,21 78,21",
      "82,21 85,21",
      "76,25 85,25",
      "87,14 83,14 83,25",
    ].map(wire),
    notes: [
      { at: [27, 10.8], text: "twisted pair" },
      {
        at: [1.5, 31],
        text: `F1 sits at the source, within a hand's width of its pole, and is rated for the cable that it protects. The station draws about ${loadAmperes().toFixed(1)} A at most.`,
      },
      {
        at: [1.5, 32.6],
        text: "L1 is one core for both leads together. D1's band points to plus. Supply the fan from the 12 V side, never from the board.",
      },
      {
        at: [1.5, 34.2],
        text: "The command wire-drop tells what the length of the cable leaves of the voltage; a fan that starts at 9 V may not start at its far end.",
      },
    ],
  };
}
