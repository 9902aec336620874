// The simulated ADS1115 against its data sheet (SBAS444): configuration, busy flag, scale, clipping.
import { describe, expect, it } from "vitest";
import { ads1115 } from "../../../../hardware/simulated/chips/ads1115.ts";
import { setWord, wordOf } from "./wires.ts";

function bench(volts: readonly number[]) {
  let seconds = 10;
  const chip = ads1115({ now: () => seconds, volts: (input) => volts[input] ?? 0 });
  return {
    chip,
    wait: (by: number) => {
      seconds += by;
    },
  };
}

describe("ADS1115 registers", () => {
  it("hold the power-on values", () => {
    const { chip } = bench([1, 1, 1, 1]);
    expect(wordOf(chip, 0x01)).toBe(0x8583);
    expect(wordOf(chip, 0x02)).toBe(0x8000);
    expect(wordOf(chip, 0x03)).toBe(0x7fff);
    expect(wordOf(chip, 0x00)).toBe(0x0000);
  });

  it.each([0, 1, 2, 3])("convert input %i against ground, 125 µV a step at ±4.096 V", (input) => {
    const { chip, wait } = bench([0.5, 1, 1.5, 2]);
    // OS, single-ended input, ±4.096 V, single shot, 128 samples/s.
    setWord(chip, 0x01, 0x8000 | ((4 + input) << 12) | 0x0200 | 0x0100 | 0x0083);
    expect(wordOf(chip, 0x01) & 0x8000).toBe(0);
    wait(0.007);
    expect(wordOf(chip, 0x01) & 0x8000).toBe(0);
    wait(0.001);
    expect(wordOf(chip, 0x01) & 0x8000).toBe(0x8000);
    expect(wordOf(chip, 0x00) * 125e-6).toBeCloseTo(0.5 * (1 + input), 6);
  });

  it("take differences and clip at both ends", () => {
    const { chip, wait } = bench([0.3, 0.5, 3, 0]);
    const convert = (configuration: number): number => {
      setWord(chip, 0x01, 0x8000 | configuration | 0x0183);
      wait(0.01);
      return wordOf(chip, 0x00);
    };
    // AIN0 − AIN1 = −0.2 V at ±0.256 V full scale: −25 600 steps of 7.8125 µV.
    expect(convert(0x0a00)).toBe(0x10000 - 25_600);
    expect(convert(0x6000 | 0x0400)).toBe(0x7fff);
    expect(convert(0x0000 | 0x0e00)).toBe(0x10000 - 25_600);
    const reversed = bench([0, 3, 0, 0]);
    setWord(reversed.chip, 0x01, 0x8000 | 0x0400 | 0x0183);
    reversed.wait(0.01);
    expect(wordOf(reversed.chip, 0x00)).toBe(0x8000);
  });

  it("keep converting in continuous mode and stand still in single shot", () => {
    const volts = [1, 0, 0, 0];
    const { chip, wait } = bench(volts);
    setWord(chip, 0x01, 0x4000 | 0x0200 | 0x0083);
    wait(0.01);
    expect(wordOf(chip, 0x00) * 125e-6).toBeCloseTo(1, 6);
    volts[0] = 2;
    wait(0.01);
    expect(wordOf(chip, 0x00) * 125e-6).toBeCloseTo(2, 6);
    setWord(chip, 0x01, 0xc000 | 0x0200 | 0x0183);
    wait(0.01);
    wordOf(chip, 0x00);
    volts[0] = 3;
    wait(10);
    expect(wordOf(chip, 0x00) * 125e-6).toBeCloseTo(2, 6);
  });

  it("keep the thresholds that are written", () => {
    const { chip } = bench([]);
    setWord(chip, 0x02, 0x1234);
    expect(wordOf(chip, 0x02)).toBe(0x1234);
  });
});
