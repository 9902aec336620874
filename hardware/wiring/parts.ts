// The parts list: every reference that a drawing shows, with its value, its rating and why it is there. Generic parts by
// type and rating, never by maker. Values are numbers, so that the sums in sums.ts and the words on the drawings are one fact.

/** What a part measures, in SI; null for parts that have no single value. */
export type Amount = { readonly value: number; readonly unit: "Ω" | "F" | "A" | "V" } | null;

export type Part = {
  readonly reference: string;
  readonly what: string;
  readonly amount: Amount;
  /** The least that it must stand. */
  readonly rating: string;
  readonly why: string;
  /** False for what the plainest station goes without. */
  readonly needed: boolean;
};

const ohms = (value: number): Amount => ({ value, unit: "Ω" });
const farads = (value: number): Amount => ({ value, unit: "F" });
const amperes = (value: number): Amount => ({ value, unit: "A" });
const volts = (value: number): Amount => ({ value, unit: "V" });

type Row = readonly [
  reference: string,
  what: string,
  amount: Amount,
  rating: string,
  why: string,
  optional?: "optional",
];

const ROWS: readonly Row[] = [
  [
    "F1",
    "fuse and holder, in the plus lead at the source",
    amperes(3),
    "32 V DC, slow",
    "a shorted cable must not burn",
  ],
  [
    "F2",
    "fuse and holder, shack end of the permit loops",
    amperes(0.5),
    "32 V DC, fast",
    "the loops' thin wire must not burn",
  ],
  [
    "F3",
    "fuse between converter and board",
    amperes(2.5),
    "32 V DC, slow",
    "5 V at the header pins passes none of the board's own",
  ],
  [
    "L1",
    "common-mode choke: both supply leads together through a ferrite of mix 31",
    null,
    "6 turns or more",
    "keeps RF on the cable out of the enclosure",
  ],
  ["D1", "transient suppressor, one way", volts(15), "600 W for 1 ms, stand-off 15 V", "surges on the supply cable"],
  ["C1", "electrolytic capacitor", farads(470e-6), "25 V, 105 °C", "holds the rail over short dips"],
  ["C2", "ceramic capacitor", farads(100e-9), "50 V, X7R", "RF on the rail"],
  [
    "A1",
    "converter 12 V to 5 V, shielded, with input and output filter",
    volts(5),
    "3 A, 9–18 V in",
    "an unfiltered one is heard in the receiver",
  ],
  [
    "A2",
    "INA219 module with shunt",
    ohms(0.1),
    "26 V, 3.2 A",
    "fan volts and amperes: a stalled fan or a lost tach lead",
    "optional",
  ],
  [
    "M1",
    "fan, three wires, open-collector tach",
    volts(12),
    "2 pulses per revolution is usual",
    "moves the air and says so",
  ],
  [
    "R1",
    "resistor, tach pull-up to 3.3 V",
    ohms(4700),
    "0.1 W, 1 %",
    "the tach only pulls down; never to 5 V or 12 V: that kills the pin",
  ],
  ["R2", "resistor", ohms(1000), "0.1 W, 1 %", "with C3 it keeps RF out, and limits what reaches the pin"],
  ["C3", "ceramic capacitor", farads(10e-9), "50 V, C0G or X7R", "RF on the tach lead"],
  [
    "C4",
    "ceramic capacitor at the entry",
    farads(1e-9),
    "100 V, C0G, leads cut short",
    "RF is led away where it comes in",
  ],
  ["FB1", "ferrite bead or clamp on the tach lead", null, "mix 31 or 43", "RF on the tach lead"],
  ["D2", "Schottky diode to 3.3 V", null, "0.2 A", "clamps what C3 lets through"],
  ["D3", "Schottky diode to ground", null, "0.2 A", "clamps what C3 lets through"],
  ["R3", "resistor, gate", ohms(1000), "0.1 W", "limits the gate's current, and RF"],
  ["R4", "resistor, gate to ground", ohms(100e3), "0.1 W", "released while the pin floats or the board is dead"],
  ["Q1", "N-channel MOSFET, logic level", null, "30 V, full on at 2.5 V", "drives the `reduce` relay"],
  ["D4", "diode across the coil", null, "1 A, 100 V", "takes the coil's voltage"],
  [
    "K1",
    "relay, `reduce`, one make contact",
    volts(5),
    "coil at most 40 mA; contact 1 A, 30 V DC, gold",
    "energised = permitted",
  ],
  ["R5", "resistor, gate", ohms(1000), "0.1 W", "as R3"],
  ["R6", "resistor, gate to ground", ohms(100e3), "0.1 W", "as R4"],
  ["Q2", "N-channel MOSFET, logic level", null, "30 V, full on at 2.5 V", "drives the `inhibit` relay"],
  ["D5", "diode across the coil", null, "1 A, 100 V", "takes the coil's voltage"],
  [
    "K2",
    "relay, `inhibit`, one make contact",
    volts(5),
    "coil at most 40 mA; contact 1 A, 30 V DC, gold",
    "energised = permitted",
  ],
  [
    "K3",
    "relay in the shack, one break contact",
    volts(12),
    "coil at most 60 mA; contact gold, for small signals",
    "puts the ALC bias on unless permitted",
  ],
  ["D6", "diode across the coil", null, "1 A, 100 V", "takes the coil's voltage"],
  [
    "K4",
    "relay in the shack, one make contact",
    volts(12),
    "coil at most 60 mA; contact for the keying line's voltage and current",
    "breaks the amplifier's keying line unless permitted",
  ],
  ["D7", "diode across the coil", null, "1 A, 100 V", "takes the coil's voltage"],
  [
    "S1",
    "thermal cutout, opens on heat, reset by hand",
    null,
    "opens at 90–100 °C where it sits; 1 A, 30 V DC, insulated",
    "acts without any computer",
  ],
  [
    "U1",
    "one-shot, retriggerable, type 4538 in HC logic",
    null,
    "2–6 V",
    "lets go when the program stands still",
    "optional",
  ],
  ["R8", "resistor, one-shot's time", ohms(1e6), "1 %", "with C5 the one-shot's time", "optional"],
  [
    "C5",
    "film or low-leakage tantalum capacitor",
    farads(4.7e-6),
    "10 V, 10 %",
    "with R8 the one-shot's time",
    "optional",
  ],
  ["R11", "resistor, gate to ground", ohms(100e3), "0.1 W", "released while the one-shot has no supply", "optional"],
  [
    "Q3",
    "N-channel MOSFET, logic level",
    null,
    "30 V, full on at 2.5 V",
    "the common return of both relay coils",
    "optional",
  ],
  ["R7", "resistor, gate", ohms(1000), "0.1 W", "as R3", "optional"],
  ["R12", "resistor, gate to ground", ohms(100e3), "0.1 W", "the fan runs while the pin floats", "optional"],
  ["Q4", "N-channel MOSFET, logic level", null, "30 V, full on at 2.5 V", "drives K5", "optional"],
  ["D8", "diode across the coil", null, "1 A, 100 V", "takes the coil's voltage", "optional"],
  [
    "K5",
    "relay in the fan's supply, one break contact",
    volts(5),
    "coil at most 40 mA; contact 2 A, 30 V DC",
    "released = the fan runs; energised for a moment it starts anew",
    "optional",
  ],
  ["R9", "resistor in the data line, at the board", ohms(100), "0.1 W", "damps edges and RF"],
  ["R10", "resistor in the clock line, at the board", ohms(100), "0.1 W", "damps edges and RF"],
  ["C6", "ceramic capacitor at the inlet's chip", farads(100e-9), "50 V, X7R", "its supply, and RF"],
  ["C7", "ceramic capacitor at the outlet's chip", farads(100e-9), "50 V, X7R", "its supply, and RF"],
  ["B1", "inlet thermometer, SHT4x module", null, "I²C, 3.3 V", "air at the inlet, and its humidity"],
  ["B2", "outlet thermometer, TMP117 module", null, "I²C, 3.3 V", "air at the outlet"],
];

export const PARTS: readonly Part[] = ROWS.map(([reference, what, amount, rating, why, optional]) => ({
  reference,
  what,
  amount,
  rating,
  why,
  needed: optional === undefined,
}));

/** @throws RangeError for a reference that the list does not have: a drawing may show only what can be bought from it */
function partOf(reference: string): Part {
  const part = PARTS.find((candidate) => candidate.reference === reference);
  if (part === undefined) throw new RangeError(`the parts list has no ${reference}`);
  return part;
}

/** The SI value of a part. @throws RangeError when it has none */
export function amountOf(reference: string): number {
  const { amount } = partOf(reference);
  if (amount === null) throw new RangeError(`${reference} has no single value`);
  return amount.value;
}

const PREFIXES: readonly (readonly [factor: number, prefix: string])[] = [
  [1e6, "M"],
  [1e3, "k"],
  [1, ""],
  [1e-3, "m"],
  [1e-6, "µ"],
  [1e-9, "n"],
  [1e-12, "p"],
];

/** `4700 Ω` → `4.7 kΩ`. */
export function amountText(amount: Amount): string {
  if (amount === null) return "";
  const { value, unit } = amount;
  // Volts and amperes of supplies are written without prefix, as on the parts themselves.
  const [factor, prefix] =
    unit === "A" || unit === "V"
      ? [1, ""]
      : (PREFIXES.find(([candidate]) => value >= candidate * (1 - 1e-9)) ?? [1, ""]);
  return `${Number((value / factor).toPrecision(3))} ${prefix}${unit}`;
}

/** What a drawing writes beside a part. */
export function partLabel(reference: string): { readonly reference: string; readonly value: string } {
  return { reference, value: amountText(partOf(reference).amount) };
}
