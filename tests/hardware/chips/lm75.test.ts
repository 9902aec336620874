// LM75 family: the words of the makers' own tables, the plausibility that stands for an identity, and words that no chip sends.
import { describe, expect, it } from "vitest";
import { fitChip } from "../../../hardware/chips/chip.ts";
import { decode, lm75 } from "../../../hardware/chips/lm75.ts";
import { bytesOf, RegisterChip } from "../../support/register-chip.ts";

/** Registers after power-on: limit 80 °C, hysteresis 75 °C. */
const AT_25 = { 0: [0x19, 0x00], 1: [0x00], 2: [0x4b, 0x00], 3: [0x50, 0x00] };

function fitted(registers: Readonly<Record<number, readonly number[]>>) {
  const chip = new RegisterChip(registers);
  return { chip, part: fitChip(lm75, "inlet", chip.onBus().bus.device(0x48)) };
}

describe("decode", () => {
  // STLM75 data sheet, table 3 (relationship between temperature and digital output): nine bits, left-justified here.
  it.each([
    [0x0fa, 125],
    [0x032, 25],
    [0x001, 0.5],
    [0x000, 0],
    [0x1ff, -0.5],
    [0x1ce, -25],
    [0x1b0, -40],
    [0x192, -55],
  ])("gives the STLM75 table's temperature for %i", (bits, celsius) => {
    const word = bits << 7;
    expect(decode(Uint8Array.of(word >> 8, word & 0xff))).toBe(celsius);
  });

  // TMP75 data sheet SBOS288M, table 7-1: twelve bits, left-justified here.
  it.each([
    ["7FF", 127.9375],
    ["640", 100],
    ["500", 80],
    ["4B0", 75],
    ["320", 50],
    ["190", 25],
    ["004", 0.25],
    ["000", 0],
    ["FFC", -0.25],
    ["E70", -25],
    ["C90", -55],
  ])("gives the TMP75 table's temperature for %sh", (digits, celsius) => {
    expect(decode(bytesOf(`${digits}0`))).toBe(celsius);
  });
});

describe("identify", () => {
  it("finds a chip with its power-on limits plausible and says that this is all it is", async () => {
    await expect(fitted(AT_25).part.identify()).resolves.toContain("plausible");
  });

  it("waits for the first conversion of a chip that reads 0 °C, as it does fresh from power-on", async () => {
    const chip = new RegisterChip({ ...AT_25, 0: [0, 0] });
    const { bus, clock } = chip.onBus();
    const part = fitChip(lm75, "inlet", bus.device(0x48));
    const reading = part.read();
    clock.after(0.3, () => chip.setWord(0, 0x1900));
    await expect(clock.settle(reading)).resolves.toMatchObject({ celsius: 25 });
  });

  it("wakes a chip that sleeps", async () => {
    const { chip, part } = fitted({ ...AT_25, 1: [0x61] });
    await part.identify();
    expect(chip.writes).toEqual([Uint8Array.of(1, 0x60)]);
  });

  it.each([
    ["all registers alike", { ...AT_25, 0: [0x4b, 0], 3: [0x4b, 0] }],
    ["low bits set", { ...AT_25, 2: [0x4b, 0x01] }],
    ["hysteresis above the limit", { ...AT_25, 2: [0x51, 0x00] }],
    ["a line that floats high", { 0: [255, 255], 1: [255], 2: [255, 255], 3: [255, 255] }],
  ])("rejects %s", async (_what, registers) => {
    await expect(fitted(registers).part.identify()).rejects.toMatchObject({
      code: "WRONG_DEVICE",
      place: "i2c-1 0x48",
    });
  });
});

describe("read", () => {
  it("gives the temperature and no humidity", async () => {
    await expect(fitted(AT_25).part.read()).resolves.toEqual({ celsius: 25, humidityRatio: null });
  });

  it("rejects the word of a line that floats high instead of calling it −0.004 °C", async () => {
    const { chip, part } = fitted(AT_25);
    await part.read();
    chip.setWord(0, 0xffff);
    await expect(part.read()).rejects.toMatchObject({ code: "OUT_OF_RANGE" });
  });

  it("rejects what the chip cannot measure", async () => {
    const { chip, part } = fitted(AT_25);
    await part.read();
    chip.setWord(0, 0x7ff0);
    await expect(part.read()).rejects.toMatchObject({ code: "OUT_OF_RANGE" });
  });

  it("checks the identity again after a failure, for another chip may have taken the place", async () => {
    const { chip, part } = fitted(AT_25);
    await part.read();
    chip.setWord(0, 0xffff);
    await expect(part.read()).rejects.toMatchObject({ code: "OUT_OF_RANGE" });
    chip.setWord(0, 0x1900);
    chip.setWord(2, 0x5100);
    await expect(part.read()).rejects.toMatchObject({ code: "WRONG_DEVICE" });
  });
});
