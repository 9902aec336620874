// The values of the parts against the limits of the data sheets and the bus specification.

import { describe, expect, it } from "vitest";
import { amountOf, amountText, PARTS } from "../../../hardware/wiring/parts.ts";
import {
  BOARD_PULL_UP_OHMS,
  I2C_LIMITS,
  loadAmperes,
  longestCableMeters,
  mostModulesWithPullUps,
  oneShotSeconds,
  riseOf,
  sinkAmperes,
  tachFigures,
} from "../../../hardware/wiring/sums.ts";

describe("the I²C bus (NXP UM10204 rev. 7, table 10 and section 7.1; standard mode)", () => {
  it("rises within 1 µs at 400 pF with the board's pull-ups alone", () => {
    expect(riseOf(BOARD_PULL_UP_OHMS, I2C_LIMITS.capacitanceFarads)).toBeLessThan(I2C_LIMITS.riseSeconds);
  });
  it("sinks at most 3 mA, R = (3.3 V − 0.4 V) / 3 mA = 967 Ω at the least, with as many module pull-ups as we allow", () => {
    const least = (3.3 - I2C_LIMITS.lowVolts) / I2C_LIMITS.sinkAmperes;
    for (const ohms of [2_200, 4_700, 10_000]) {
      const modules = mostModulesWithPullUps(ohms);
      expect(1 / (1 / BOARD_PULL_UP_OHMS + modules / ohms)).toBeGreaterThanOrEqual(least);
      expect(1 / (1 / BOARD_PULL_UP_OHMS + (modules + 1) / ohms)).toBeLessThan(least);
      expect(sinkAmperes(modules, ohms)).toBeLessThanOrEqual(I2C_LIMITS.sinkAmperes);
    }
  });
  it("carries a cable whose capacitance with the chips' stays within 400 pF", () => {
    const meters = longestCableMeters(2);
    expect(meters * 100e-12 + 3 * 10e-12).toBeCloseTo(I2C_LIMITS.capacitanceFarads, 14);
    expect(longestCableMeters(5)).toBeLessThan(meters);
  });
});

describe("the tach input", () => {
  it("has risen to 95 % (three time constants) long before half a period at 800 Hz is over", () => {
    const { riseMicroseconds, halfPeriodMicroseconds } = tachFigures();
    expect(3 * riseMicroseconds).toBeLessThan(halfPeriodMicroseconds / 2);
  });
  it("pulls down to a sure low: a fan that sinks at 0.4 V leaves less than the pin's 0.8 V", () => {
    // Open collector at 0.4 V (usual in fan data sheets; common practice, no source); no current flows into the pin, so R2 adds nothing.
    // The pin reads low up to 0.8 V (BCM2711 ARM Peripherals has no table of levels; Raspberry Pi compute module data sheet, VIL 0.8 V; from memory).
    const milliamperes = ((3.3 - 0.4) / amountOf("R1")) * 1000;
    expect(milliamperes).toBeLessThan(1);
  });
  it("is 40 dB down at the lowest band with 3.5 MHz", () => {
    expect(tachFigures().rfDecibels).toBeGreaterThanOrEqual(40);
  });
});

describe("the one-shot (data sheets of the 74HC4538: t = 0.7·R·C; from memory)", () => {
  it("outlasts two of the program's seconds between rising edges, and is gone before five, with C5 10 % off", () => {
    expect(0.9 * oneShotSeconds()).toBeGreaterThan(2.5);
    expect(1.1 * oneShotSeconds()).toBeLessThan(5);
  });
});

describe("fuses", () => {
  it("carry the load with a quarter to spare, and protect 0.75 mm² (6 A in IEC 60204-1, table 6, with margin; from memory)", () => {
    expect(amountOf("F1")).toBeGreaterThanOrEqual(1.25 * loadAmperes());
    expect(amountOf("F1")).toBeLessThanOrEqual(6);
  });
  it("let two interface relays draw their coils' current", () => {
    expect(amountOf("F2")).toBeGreaterThanOrEqual(2 * 2 * 0.06);
  });
});

describe("values in words", () => {
  it.each([
    [4700, "Ω", "4.7 kΩ"],
    [100e3, "Ω", "100 kΩ"],
    [0.1, "Ω", "100 mΩ"],
    [470e-6, "F", "470 µF"],
    [10e-9, "F", "10 nF"],
    [1e-9, "F", "1 nF"],
    [0.5, "A", "0.5 A"],
  ] as const)("%d %s is %s", (value, unit, text) => {
    expect(amountText({ value, unit })).toBe(text);
  });
  it("give every reference once", () => {
    const references = PARTS.map(({ reference }) => reference);
    expect(new Set(references).size).toBe(references.length);
  });
});
