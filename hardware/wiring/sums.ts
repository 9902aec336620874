// What the values of the parts come to: times, currents and limits that the drawings state and the tests hold against
// the data sheets. Pure arithmetic on the parts list.

import { amountOf } from "./parts.ts";

/** Highest tach frequency of interest: 24 000 rpm with 2 pulses per revolution. */
const TACH_HERTZ = 800;
const LOWEST_RF_HERTZ = 3.5e6;

const micro = (seconds: number): number => Math.round(seconds * 1e6);

/** The tach input: the lead rises through R1 and R2 into C3. */
export function tachFigures() {
  const riseSeconds = (amountOf("R1") + amountOf("R2")) * amountOf("C3");
  const corner = 1 / (2 * Math.PI * amountOf("R2") * amountOf("C3"));
  return {
    riseMicroseconds: micro(riseSeconds),
    halfPeriodMicroseconds: micro(1 / (2 * TACH_HERTZ)),
    rfDecibels: Math.round(10 * Math.log10(1 + (LOWEST_RF_HERTZ / corner) ** 2)),
  };
}

/** How long the one-shot holds after its last edge, s: 0.7·R·C for a 4538 in HC logic (data sheets of the 74HC4538; from memory). */
export function oneShotSeconds(): number {
  return 0.7 * amountOf("R8") * amountOf("C5");
}

/** Currents that F1 carries at 12 V, A; estimates from the parts' ratings. Common practice, no source. */
const LOADS: readonly { readonly what: string; readonly amperes: number }[] = [
  { what: "board, converter included (7 W at 85 %)", amperes: 7 / 0.85 / 12 },
  { what: "fan, starting", amperes: 0.8 },
  { what: "two relay coils of 40 mA at 5 V", amperes: (2 * 0.04 * 5) / 0.85 / 12 },
];

/** All of it together, A. */
export function loadAmperes(): number {
  return LOADS.reduce((sum, { amperes }) => sum + amperes, 0);
}

/** Limits of the bus specification for standard mode (NXP UM10204 rev. 7, table 10). */
export const I2C_LIMITS = { riseSeconds: 1e-6, sinkAmperes: 3e-3, lowVolts: 0.4, capacitanceFarads: 400e-12 } as const;

/** Pull-ups that the board carries on GPIO2 and GPIO3 (Raspberry Pi documentation). */
export const BOARD_PULL_UP_OHMS = 1800;

/** Rise of a line from 30 to 70 %: 0.8473·R·C (UM10204, section 7.1). */
export const riseOf = (ohms: number, farads: number): number => 0.8473 * ohms * farads;

/** Modules with pull-ups of their own, `moduleOhms` each, beside the board's: the current that a chip must sink, A. */
export function sinkAmperes(modules: number, moduleOhms: number): number {
  const conductance = 1 / BOARD_PULL_UP_OHMS + modules / moduleOhms;
  return (3.3 - I2C_LIMITS.lowVolts) * conductance;
}

/** Most modules that may keep pull-ups of this size. */
export function mostModulesWithPullUps(moduleOhms: number): number {
  let modules = 0;
  while (sinkAmperes(modules + 1, moduleOhms) <= I2C_LIMITS.sinkAmperes) modules += 1;
  return modules;
}

/** Capacitance of a metre of shielded pair and of a chip's pin with its pads. Common practice, no source. */
const CABLE_FARADS_PER_METER = 100e-12;
const CHIP_FARADS = 10e-12;

/** The longest cable at standard mode, m, with so many chips on the bus and no pull-ups but the board's. */
export function longestCableMeters(chips: number): number {
  const byRise = I2C_LIMITS.riseSeconds / (0.8473 * BOARD_PULL_UP_OHMS);
  const farads = Math.min(byRise, I2C_LIMITS.capacitanceFarads) - (chips + 1) * CHIP_FARADS;
  return farads / CABLE_FARADS_PER_METER;
}
