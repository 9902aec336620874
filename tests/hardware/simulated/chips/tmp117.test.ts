// The simulated TMP117 against its data sheet (SNOSD82D): table 7-1, power-on values, conversion timing.
import { describe, expect, it } from "vitest";
import { tmp117 } from "../../../../hardware/simulated/chips/tmp117.ts";
import { Bench, setWord, wordOf } from "./wires.ts";

describe("TMP117 registers", () => {
  it.each([
    [-256, 0x8001], // the lowest code that is a reading; 8000h means "not converted yet"
    [-25, 0xf380],
    [-0.125, 0xfff0],
    [-0.0078125, 0xffff],
    [0, 0x0000],
    [0.0078125, 0x0001],
    [1, 0x0080],
    [25, 0x0c80],
    [100, 0x3200],
    [255.9921875, 0x7fff],
    [300, 0x7fff],
  ])("show %f °C as in table 7-1", (degrees, code) => {
    const bench = new Bench();
    const chip = tmp117(bench);
    bench.degrees = degrees;
    bench.seconds += 0.2;
    expect(wordOf(chip, 0x00)).toBe(code);
  });

  it("hold what the data sheet lists after power-up", () => {
    const chip = tmp117(new Bench());
    expect(wordOf(chip, 0x0f)).toBe(0x0117);
    expect(wordOf(chip, 0x01)).toBe(0x0220);
    expect(wordOf(chip, 0x02)).toBe(0x6000);
    expect(wordOf(chip, 0x03)).toBe(0x8000);
    expect(wordOf(chip, 0x00)).toBe(0x8000);
  });

  it("convert once a second with eight averages, and say so by the data-ready flag", () => {
    const bench = new Bench();
    const chip = tmp117(bench);
    bench.seconds += 0.12;
    expect(wordOf(chip, 0x00)).toBe(0x8000);
    bench.seconds += 0.01;
    expect(wordOf(chip, 0x01) & 0x2000).toBe(0x2000);
    expect(wordOf(chip, 0x01) & 0x2000).toBe(0);
    expect(wordOf(chip, 0x00)).toBe(0x0c80);
    bench.degrees = 30;
    bench.seconds += 0.9;
    expect(wordOf(chip, 0x00)).toBe(0x0c80);
    bench.seconds += 0.1;
    expect(wordOf(chip, 0x01) & 0x2000).toBe(0x2000);
    expect(wordOf(chip, 0x00)).toBe(30 * 128);
  });

  it("convert once on demand and go to sleep", () => {
    const bench = new Bench();
    const chip = tmp117(bench);
    // Shutdown, then one shot without averaging.
    setWord(chip, 0x01, 0x0400);
    bench.seconds += 100;
    expect(wordOf(chip, 0x01) & 0x2000).toBe(0);
    bench.degrees = 40;
    setWord(chip, 0x01, 0x0c00);
    expect(wordOf(chip, 0x01) & 0x2000).toBe(0);
    bench.seconds += 0.016;
    expect(wordOf(chip, 0x01)).toBe(0x2400);
    expect(wordOf(chip, 0x00)).toBe(40 * 128);
    bench.degrees = 50;
    bench.seconds += 100;
    expect(wordOf(chip, 0x00)).toBe(40 * 128);
  });

  it("add the offset register, and forget it in a soft reset", () => {
    const bench = new Bench();
    const chip = tmp117(bench);
    setWord(chip, 0x07, 0xff80);
    bench.seconds += 0.2;
    expect(wordOf(chip, 0x00)).toBe(24 * 128);
    setWord(chip, 0x01, 0x0222);
    expect(wordOf(chip, 0x00)).toBe(0x8000);
    bench.seconds += 0.2;
    expect(wordOf(chip, 0x00)).toBe(25 * 128);
    expect(wordOf(chip, 0x01)).toBe(0x0220);
  });
});
