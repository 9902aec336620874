// The simulated MCP9808 against its data sheet (DS25095): register map, flags, resolution.
import { describe, expect, it } from "vitest";
import { mcp9808 } from "../../../../hardware/simulated/chips/mcp9808.ts";
import { Bench, bytesOf, setWord, wordOf } from "./wires.ts";

describe("MCP9808 registers", () => {
  it.each([
    // Thirteen bits in two's complement below three flags (register 5-4), worked by hand; with limits at 0 °C the flags
    // say "above critical and upper" above zero and "below lower" below.
    [25, 0xc190],
    [25.25, 0xc194],
    [0, 0x8000],
    [-0.0625, 0x3fff],
    [-25, 0x3e70],
    [125, 0xc7d0],
  ])("show %f °C", (degrees, code) => {
    const bench = new Bench();
    const chip = mcp9808(bench);
    bench.degrees = degrees;
    bench.seconds += 0.3;
    expect(wordOf(chip, 0x05)).toBe(code);
  });

  it("hold the maker's and the device's identity and the power-on values", () => {
    const chip = mcp9808(new Bench());
    expect(wordOf(chip, 0x06)).toBe(0x0054);
    expect(wordOf(chip, 0x07)).toBe(0x0400);
    expect(wordOf(chip, 0x01)).toBe(0x0000);
    expect(bytesOf(chip, 0x08, 1)).toEqual([0x03]);
    expect(wordOf(chip, 0x0a)).toBe(0);
  });

  it("set the flags against the limits that are written", () => {
    const bench = new Bench();
    const chip = mcp9808(bench);
    setWord(chip, 0x02, 30 * 16);
    setWord(chip, 0x03, 10 * 16);
    setWord(chip, 0x04, 40 * 16);
    const flagsAt = (degrees: number): number => {
      bench.degrees = degrees;
      bench.seconds += 0.3;
      return wordOf(chip, 0x05) >> 13;
    };
    expect([5, 20, 35, 45].map(flagsAt)).toEqual([0b001, 0b000, 0b010, 0b110]);
    setWord(chip, 0x03, 0x1000 | (0x1000 - 20 * 16));
    expect(flagsAt(-25)).toBe(0b001);
    expect(flagsAt(-15)).toBe(0b000);
  });

  it("convert in coarser steps, and faster, at a lower resolution", () => {
    const bench = new Bench();
    const chip = mcp9808(bench);
    bench.degrees = 25.3;
    chip.write(Uint8Array.of(0x08, 0x00));
    bench.seconds += 0.035;
    expect((wordOf(chip, 0x05) & 0x0fff) / 16).toBe(25.5);
    chip.write(Uint8Array.of(0x08, 0x03));
    bench.seconds += 0.2;
    expect((wordOf(chip, 0x05) & 0x0fff) / 16).toBe(25.5);
    bench.seconds += 0.1;
    expect((wordOf(chip, 0x05) & 0x0fff) / 16).toBe(25.3125);
  });

  it("stand still in shutdown", () => {
    const bench = new Bench();
    const chip = mcp9808(bench);
    bench.seconds += 0.3;
    wordOf(chip, 0x05);
    setWord(chip, 0x01, 0x0100);
    bench.degrees = 70;
    bench.seconds += 5;
    expect((wordOf(chip, 0x05) & 0x0fff) / 16).toBe(25);
  });
});
