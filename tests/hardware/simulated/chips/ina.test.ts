// The simulated INA219 and INA226 against their data sheets: SBOS448F table 3 worked through, scales, identity, reset.
import { describe, expect, it } from "vitest";
import { ina219, ina226 } from "../../../../hardware/simulated/chips/ina.ts";
import { setWord, wordOf } from "./wires.ts";

function bench(busVolts: number, shuntVolts: number) {
  const supply = { busVolts, shuntVolts, seconds: 5 };
  const probe = {
    now: () => supply.seconds,
    busVolts: () => supply.busVolts,
    shuntVolts: () => supply.shuntVolts,
  };
  return { supply, probe };
}

describe("INA219", () => {
  it("reproduces table 3 of the data sheet: 2 mΩ, 1 mA a step, 10 A at 11.98 V", () => {
    const { supply, probe } = bench(11.98, 0.02);
    const chip = ina219(probe);
    setWord(chip, 0x05, 0x5000);
    supply.seconds += 0.01;
    expect(wordOf(chip, 0x01)).toBe(0x07d0);
    expect(wordOf(chip, 0x02) & 0xfff8).toBe(0x5d98);
    expect(wordOf(chip, 0x04)).toBe(0x2710);
    expect(wordOf(chip, 0x03)).toBe(0x1766);
  });

  it("holds the power-on values and has no identity", () => {
    const { probe } = bench(12, 0);
    const chip = ina219(probe);
    expect(wordOf(chip, 0x00)).toBe(0x399f);
    expect(wordOf(chip, 0x05)).toBe(0x0000);
    expect(wordOf(chip, 0x02)).toBe(0x0000);
    expect(wordOf(chip, 0xff)).toBe(0xffff);
  });

  it("sets the ready flag after a conversion until the power register is read", () => {
    const { supply, probe } = bench(12, 0.017);
    const chip = ina219(probe);
    expect(wordOf(chip, 0x02) & 0x02).toBe(0);
    supply.seconds += 0.0011;
    expect(wordOf(chip, 0x02) & 0x02).toBe(0x02);
    wordOf(chip, 0x03);
    expect(wordOf(chip, 0x02) & 0x02).toBe(0);
  });

  it("takes longer with averaging, clips at the range, and shows negative current", () => {
    const { supply, probe } = bench(40, -0.05);
    const chip = ina219(probe);
    // 32 V, ±40 mV, bus and shunt averaged 128 times: 68.1 ms each.
    setWord(chip, 0x00, 0x2000 | (0xf << 7) | (0xf << 3) | 0x07);
    supply.seconds += 0.13;
    expect(wordOf(chip, 0x02) >> 3).toBe(0);
    supply.seconds += 0.01;
    expect(wordOf(chip, 0x02) >> 3).toBe(8000);
    expect(wordOf(chip, 0x01)).toBe(0x10000 - 4000);
  });

  it("sleeps when told, converts once when triggered, and resets", () => {
    const { supply, probe } = bench(12, 0);
    const chip = ina219(probe);
    setWord(chip, 0x05, 0x1001);
    expect(wordOf(chip, 0x05)).toBe(0x1000);
    setWord(chip, 0x00, 0x3998);
    supply.seconds += 1;
    expect(wordOf(chip, 0x02)).toBe(0);
    setWord(chip, 0x00, 0x399b);
    supply.seconds += 0.01;
    expect(wordOf(chip, 0x02) >> 3).toBe(3000);
    supply.busVolts = 11;
    supply.seconds += 1;
    expect(wordOf(chip, 0x02) >> 3).toBe(3000);
    setWord(chip, 0x00, 0x8000);
    expect(wordOf(chip, 0x00)).toBe(0x399f);
    expect(wordOf(chip, 0x05)).toBe(0);
    supply.seconds += 0.01;
    expect(wordOf(chip, 0x02) >> 3).toBe(2750);
  });
});

describe("INA226", () => {
  it("reads bus in 1.25 mV and shunt in 2.5 µV, with its identity", () => {
    // Register map of SBOS547: manufacturer 5449h, die 2260h, configuration 4127h.
    const { supply, probe } = bench(11.98, 0.02);
    const chip = ina226(probe);
    expect(wordOf(chip, 0xfe)).toBe(0x5449);
    expect(wordOf(chip, 0xff)).toBe(0x2260);
    expect(wordOf(chip, 0x00)).toBe(0x4127);
    supply.seconds += 0.003;
    expect(wordOf(chip, 0x02)).toBe(9584);
    expect(wordOf(chip, 0x01)).toBe(8000);
  });

  it("computes current and power as in the data sheet's 10 A example", () => {
    // SBOS547 table 5: 2 mΩ, 1 mA a step, calibration A00h; 20 mV is 10 A, 119.82 W at 11.98 V.
    const { supply, probe } = bench(11.98, 0.02);
    const chip = ina226(probe);
    setWord(chip, 0x05, 0x0a00);
    supply.seconds += 0.003;
    expect(wordOf(chip, 0x04)).toBe(10_000);
    expect(wordOf(chip, 0x03)).toBe(4792);
  });

  it("flags a finished conversion in the mask register, once", () => {
    const { supply, probe } = bench(12, 0);
    const chip = ina226(probe);
    expect(wordOf(chip, 0x06) & 0x08).toBe(0);
    supply.seconds += 0.0023;
    expect(wordOf(chip, 0x06) & 0x08).toBe(0x08);
    expect(wordOf(chip, 0x06) & 0x08).toBe(0);
  });

  it("averages longer when told, sleeps, and resets", () => {
    const { supply, probe } = bench(12, 0);
    const chip = ina226(probe);
    // 64 averages of 1.1 ms and 1.1 ms: 140.8 ms.
    setWord(chip, 0x00, 0x4727);
    supply.seconds += 0.14;
    expect(wordOf(chip, 0x02)).toBe(0);
    supply.seconds += 0.002;
    expect(wordOf(chip, 0x02)).toBe(9600);
    setWord(chip, 0x00, 0x4720);
    supply.busVolts = 10;
    supply.seconds += 5;
    expect(wordOf(chip, 0x02)).toBe(9600);
    setWord(chip, 0x00, 0x8000);
    expect(wordOf(chip, 0x00)).toBe(0x4127);
    supply.seconds += 0.003;
    expect(wordOf(chip, 0x02)).toBe(8000);
  });
});
