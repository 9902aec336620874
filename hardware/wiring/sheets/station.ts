// The whole station at a glance: what stands where, and which cable runs between.

import { type Sheet, wire } from "../sheet.ts";

export function stationSheet(): Sheet {
  return {
    name: "station",
    title: "The station",
    description:
      "In the shack: transmitter, amplifier, 12 volt supply and the interface relays. In the yard: the board's enclosure with board, permit relays, converter and filters. At the feedpoint: the box with transformer, fan, thermometers and thermal cutout. Coax, supply cable and permit loops come from the shack; sensor and fan cables join the two boxes.",
    size: [104, 60],
    places: [
      { title: "Shack", at: [1.5, 4.5], size: [25, 42] },
      { title: "Board's enclosure", at: [35, 20], size: [33, 26.5] },
      { title: "Box at the feedpoint", at: [76, 4.5], size: [26.5, 42] },
    ],
    blocks: [
      {
        title: "Transmitter, amplifier",
        lines: ["ALC and keying line", "through K3 and K4"],
        at: [4, 7.5],
        size: [20, 8],
      },
      {
        title: "Interface relays",
        lines: ["K3: ALC bias on", "K4: keying line open", "unless permitted"],
        at: [4, 22],
        size: [20, 8],
      },
      { title: "12 V supply", lines: ["fuse F1 at its pole"], danger: true, at: [4, 35], size: [20, 9] },
      {
        title: "Lightning protection",
        lines: ["where the coax enters,", "as your local code asks"],
        at: [37, 7],
        size: [17, 7.5],
      },
      { title: "Common-mode choke", lines: ["on the coax"], at: [58, 7], size: [15, 7.5] },
      { title: "Permit relays", lines: ["K1 reduce, K2 inhibit"], at: [37, 23.5], size: [13, 7] },
      { title: "Board", lines: ["with Emberwire,", "in the yard"], at: [53, 23.5], size: [13, 20] },
      { title: "Filters, converter", lines: ["L1, D1, A1, F3"], at: [37, 36.5], size: [13, 7] },
      {
        title: "Transformer",
        lines: ["ferrite core; kilovolts", "on the wire's side"],
        danger: true,
        at: [79, 7.5],
        size: [20, 11],
      },
      { title: "Thermal cutout S1", lines: ["in series with inhibit"], at: [79, 20.5], size: [20, 5] },
      { title: "Thermometers", lines: ["B1 inlet, B2 outlet"], at: [79, 29], size: [20, 5] },
      { title: "Fan M1", lines: ["with tach"], at: [79, 38.5], size: [20, 5] },
    ],
    cables: [
      { points: wire("24,10.5 37,10.5"), name: "coax", nameAt: [27.5, 9.7] },
      { points: wire("54,10.5 58,10.5") },
      { points: wire("73,10.5 79,10.5") },
      { points: wire("99,13 103.5,13"), name: "wire", nameAt: [99.7, 12.2] },
      { points: wire("24,26 37,26"), name: "permit loops", nameAt: [27, 25.2] },
      { points: wire("50,26 53,26") },
      {
        points: wire("48.5,23.5 48.5,17.8 74,17.8 74,23 79,23"),
        name: "inhibit loop through the cutout",
        nameAt: [51, 17],
      },
      { points: wire("24,40 37,40"), name: "12 V", nameAt: [29, 39.2] },
      { points: wire("50,40 53,40") },
      { points: wire("66,31.5 79,31.5"), name: "I²C", nameAt: [70.5, 30.7] },
      { points: wire("66,41 79,41"), name: "fan, tach", nameAt: [69, 40.2] },
    ],
    notes: [
      {
        at: [1.5, 49.4],
        text: "Every cable: shielded, ferrite clamps at both ends, away from wire and coax. Shields bonded where they enter, all entries on one plate, the plate to ground.",
      },
      {
        at: [1.5, 51],
        text: "Board's enclosure: weatherproof, RF-tight. Both: entries and drain hole at the bottom, a drip loop on each cable, insect screen on vents, out of the sun, on nothing that burns.",
      },
      {
        at: [1.5, 52.6],
        text: "Before anyone opens a box: transmitter off and locked out, coax disconnected. The wire's side carries kilovolts while anyone can transmit; RF burns go deep.",
      },
      {
        at: [1.5, 54.2],
        text: "Bonding, lightning protection and mains follow your local code and licensed practice (in the United States for example NFPA 70, articles 250 and 810).",
      },
      { at: [1.5, 55.8], text: "The thermal cutout is the layer that needs no computer. Do not leave it out." },
    ],
  };
}
