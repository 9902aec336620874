// The header's pins against the pinout that the board's maker publishes.

import { describe, expect, it } from "vitest";
import { HEADER_PINS, headerLine } from "../../hardware/header.ts";

const lines = HEADER_PINS.filter((pin) => pin.kind === "line");

describe("the 40-pin header", () => {
  it("has 40 pins in order, with each of the lines 0 to 27 once", () => {
    expect(HEADER_PINS.map(({ pin }) => pin)).toEqual(Array.from({ length: 40 }, (_, index) => index + 1));
    expect(lines.map(({ offset }) => offset).sort((a, b) => a - b)).toEqual(Array.from({ length: 28 }, (_, n) => n));
  });

  // Raspberry Pi documentation, "GPIO and the 40-pin header": ground at 6, 9, 14, 20, 25, 30, 34, 39; 3.3 V at 1, 17; 5 V at 2, 4.
  it("has its supplies where the maker says", () => {
    const at = (name: string): number[] => HEADER_PINS.filter((pin) => pin.name === name).map(({ pin }) => pin);
    expect(at("ground")).toEqual([6, 9, 14, 20, 25, 30, 34, 39]);
    expect(at("3.3 V")).toEqual([1, 17]);
    expect(at("5 V")).toEqual([2, 4]);
  });

  it.each([
    [2, 3],
    [3, 5],
    [4, 7],
    [17, 11],
    [23, 16],
    [24, 18],
    [21, 40],
    [26, 37],
  ])("has GPIO%d at pin %d", (offset, pin) => {
    expect(headerLine(offset)?.pin).toBe(pin);
  });

  // BCM2835 ARM Peripherals, section 6.2: pull at reset high for GPIO0 to GPIO8, low for GPIO9 to GPIO27.
  it("knows which lines are pulled up before any program runs", () => {
    expect(
      lines
        .filter(({ resetPull }) => resetPull === "up")
        .map(({ offset }) => offset)
        .sort((a, b) => a - b),
    ).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 8]);
  });

  it("has no pin for a line that only the chip has", () => {
    expect(headerLine(28)).toBeNull();
  });
});
