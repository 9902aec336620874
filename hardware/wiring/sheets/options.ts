// What a station may have besides: the one-shot that lets go when the program stands still, and the switch in the fan's supply.

import { pinText, supplyText } from "../pins.ts";
import { type Sheet, wire } from "../sheet.ts";
import { oneShotSeconds } from "../sums.ts";

export function optionsSheet(): Sheet {
  return {
    name: "options",
    title: "Options: one-shot behind the permit relays, switch in the fan's supply",
    description:
      "The pulse pin triggers a retriggerable one-shot whose time is set by R8 and C5. Its output holds the MOSFET Q3 in the common return of both permit relays' MOSFETs. Below, the fan switch's pin drives Q4 and relay K5, whose break contact stands in the fan's supply.",
    size: [92, 53],
    places: [{ title: "Board's enclosure", at: [1.5, 4.5], size: [89, 38.5] }],
    blocks: [
      {
        title: "Header",
        at: [3, 9],
        size: [12, 13],
        terminals: [
          { side: "right", along: 4, name: pinText("pulse") },
          { side: "right", along: 8, name: supplyText("oneShotSupply") },
          { side: "right", along: 12, name: supplyText("relayGround") },
        ],
      },
      {
        title: "U1",
        lines: ["one-shot"],
        at: [32, 9],
        size: [14, 13],
        terminals: [
          { side: "left", along: 4, name: "A" },
          { side: "left", along: 8, name: "VCC, reset, B" },
          { side: "left", along: 12, name: "GND" },
          { side: "right", along: 3, name: "R, C" },
          { side: "right", along: 7, name: "C" },
          { side: "right", along: 11, name: "Q" },
        ],
      },
      {
        title: "Q1 and Q2",
        lines: ["sources, instead of ground"],
        at: [68, 9],
        size: [18, 5],
        terminals: [{ side: "left", along: 3.5, name: "" }],
      },
      {
        title: "Header",
        at: [3, 29],
        size: [12, 10],
        terminals: [
          { side: "right", along: 3, name: pinText("fan_cut") },
          { side: "right", along: 9, name: supplyText("relayGround") },
        ],
      },
      {
        title: "A2",
        lines: ["or 12 V"],
        at: [44, 25],
        size: [8, 7],
        terminals: [{ side: "right", along: 5, name: "out" }],
      },
      {
        title: "Fan M1",
        at: [68, 25],
        size: [10, 7],
        terminals: [{ side: "left", along: 5, name: "+12 V" }],
      },
    ],
    parts: [
      { kind: "resistor", id: "R8", at: [50, 10], turn: 90 },
      { kind: "supply", id: "3.3 V", at: [50, 8] },
      { kind: "capacitor", id: "C5", at: [50, 14], turn: 90, label: "right" },
      { kind: "transistor", id: "Q3", at: [62, 20] },
      { kind: "resistor", id: "R11", at: [57, 22], turn: 90, label: "right" },
      { kind: "ground", id: "0 V", at: [63, 24] },
      { kind: "resistor", id: "R7", at: [20, 32] },
      { kind: "resistor", id: "R12", at: [24, 35], turn: 90, label: "left" },
      { kind: "transistor", id: "Q4", at: [28, 32] },
      { kind: "coil", id: "K5", at: [29, 27], turn: 90, label: "left" },
      { kind: "supply", id: "5 V", at: [29, 25] },
      { kind: "diode", id: "D8", at: [33, 27], turn: 270 },
      { kind: "break", id: "K5", at: [60, 30] },
    ],
    wires: [
      "15,13 32,13",
      "15,17 32,17",
      "15,21 32,21",
      "46,12 50,12",
      "46,16 50,16",
      "46,20 60,20",
      "57,24 63,24",
      "63,22 63,24",
      "63,18 63,12.5 68,12.5",
      "15,32 18,32",
      "22,32 26,32",
      "24,32 24,33",
      "24,37 29,37",
      "29,29 29,30",
      "29,25 33,25",
      "29,29 33,29",
      "29,34 29,38",
      "15,38 29,38",
      "52,30 58,30",
      "62,30 68,30",
    ].map(wire),
    notes: [
      {
        at: [1.5, 45.6],
        text: `The program moves the pulse once a second; U1 lets go of both relays ${oneShotSeconds().toFixed(1)} s after the last rising edge, whatever the pin's level is then.`,
      },
      {
        at: [1.5, 47.2],
        text: "Trigger A on rising edges, B and reset tied to 3.3 V, the unused half's inputs tied off; see the data sheet of your 4538 for the pins.",
      },
      {
        at: [1.5, 48.8],
        text: "Config: pulse = “pin 22” in the table [relay]; the fan's switch is a table [fan_cut] with line = “pin 13”, beside [fan.power_cycle] with the attempts.",
      },
      { at: [1.5, 50.4], text: "Released, K5 lets the fan run: a dead board cools on." },
    ],
  };
}
