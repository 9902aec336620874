// The simulated LM75 and TMP1075 against their data sheets' conversion tables (STLM75 table 3; TMP1075, SBOS854).
import { describe, expect, it } from "vitest";
import { lm75, tmp1075 } from "../../../../hardware/simulated/chips/lm75.ts";
import { Bench, bytesOf, setWord, wordOf } from "./wires.ts";

describe("LM75 registers", () => {
  it.each([
    [125, 0x0fa],
    [25, 0x032],
    [0.5, 0x001],
    [0, 0x000],
    [-0.5, 0x1ff],
    [-25, 0x1ce],
    [-40, 0x1b0],
    [-55, 0x192],
  ])("show %f °C in nine bits as in STLM75 table 3", (degrees, code) => {
    const bench = new Bench();
    const chip = lm75(bench);
    bench.degrees = degrees;
    bench.seconds += 0.2;
    expect(wordOf(chip, 0x00)).toBe(code << 7);
  });

  it("hold 75 °C and 80 °C as limits and no identity; only two pointer bits count", () => {
    const bench = new Bench();
    const chip = lm75(bench);
    expect(wordOf(chip, 0x02)).toBe(0x4b00);
    expect(wordOf(chip, 0x03)).toBe(0x5000);
    expect(bytesOf(chip, 0x01, 1)).toEqual([0x00]);
    bench.seconds += 0.2;
    expect(wordOf(chip, 0x07)).toBe(0x5000);
    expect(wordOf(chip, 0x04)).toBe(25 * 256);
    setWord(chip, 0x03, 0x3c00);
    expect(wordOf(chip, 0x03)).toBe(0x3c00);
  });

  it("stand still in shutdown", () => {
    const bench = new Bench();
    const chip = lm75(bench);
    bench.seconds += 0.2;
    expect(wordOf(chip, 0x00)).toBe(25 * 256);
    chip.write(Uint8Array.of(0x01, 0x01));
    bench.degrees = 60;
    bench.seconds += 10;
    expect(wordOf(chip, 0x00)).toBe(25 * 256);
    chip.write(Uint8Array.of(0x01, 0x00));
    bench.seconds += 0.2;
    expect(wordOf(chip, 0x00)).toBe(60 * 256);
  });
});

describe("TMP1075 registers", () => {
  it.each([
    [127.9375, 0x7ff0],
    [25, 0x1900],
    [0.0625, 0x0010],
    [-0.0625, 0xfff0],
    [-25, 0xe700],
  ])("show %f °C in twelve bits as in the data sheet", (degrees, code) => {
    const bench = new Bench();
    const chip = tmp1075(bench);
    bench.degrees = degrees;
    bench.seconds += 0.03;
    expect(wordOf(chip, 0x00)).toBe(code);
  });

  it("hold the die identity and the power-on configuration", () => {
    const chip = tmp1075(new Bench());
    expect(wordOf(chip, 0x0f)).toBe(0x7500);
    expect(wordOf(chip, 0x01)).toBe(0x00ff);
    expect(wordOf(chip, 0x02)).toBe(0x4b00);
    expect(wordOf(chip, 0x03)).toBe(0x5000);
    expect(wordOf(chip, 0x09)).toBe(0x0000);
  });

  it("read 0 °C until the first conversion, and convert once on demand when asleep", () => {
    const bench = new Bench();
    const chip = tmp1075(bench);
    expect(wordOf(chip, 0x00)).toBe(0);
    setWord(chip, 0x01, 0x01ff);
    bench.seconds += 1;
    expect(wordOf(chip, 0x00)).toBe(0);
    setWord(chip, 0x01, 0x81ff);
    expect(wordOf(chip, 0x01)).toBe(0x01ff);
    bench.seconds += 0.03;
    expect(wordOf(chip, 0x00)).toBe(0x1900);
    bench.degrees = 50;
    bench.seconds += 5;
    expect(wordOf(chip, 0x00)).toBe(0x1900);
  });
});
