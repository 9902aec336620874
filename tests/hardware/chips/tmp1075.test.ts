// TMP1075: the data sheet's table, its identity register, and a chip that sleeps.
import { describe, expect, it } from "vitest";
import { fitChip } from "../../../hardware/chips/chip.ts";
import { decode, tmp1075 } from "../../../hardware/chips/tmp1075.ts";
import { bytesOf, RegisterChip } from "../../support/register-chip.ts";

const AT_25 = { 0: [0x19, 0x00], 1: [0x00, 0xff], 15: [0x75, 0x00] };

function fitted(registers: Readonly<Record<number, readonly number[]>>) {
  const chip = new RegisterChip(registers);
  return { chip, part: fitChip(tmp1075, "inlet", chip.onBus().bus.device(0x48)) };
}

describe("decode", () => {
  // TMP1075 data sheet SBOS854F, table 7-1.
  it.each([
    ["7FF0", 127.9375],
    ["6400", 100],
    ["5000", 80],
    ["4B00", 75],
    ["3200", 50],
    ["1900", 25],
    ["0040", 0.25],
    ["0010", 0.0625],
    ["0000", 0],
    ["FFF0", -0.0625],
    ["FFC0", -0.25],
    ["E700", -25],
    ["CE00", -50],
    ["8000", -128],
  ])("gives the table's temperature for %sh", (digits, celsius) => {
    expect(decode(bytesOf(digits))).toBe(celsius);
  });
});

describe("the chip", () => {
  it("names its identity and reads", async () => {
    const { part } = fitted(AT_25);
    await expect(part.identify()).resolves.toBe("TMP1075, identity 7500h");
    await expect(part.read()).resolves.toEqual({ celsius: 25, humidityRatio: null });
  });

  it("is told apart from an LM75, which answers register 15 with something else", async () => {
    const { part } = fitted({ ...AT_25, 15: [0x19, 0x00] });
    await expect(part.identify()).rejects.toMatchObject({ code: "WRONG_DEVICE" });
    await expect(part.read()).rejects.toMatchObject({ code: "WRONG_DEVICE" });
  });

  it("is woken and keeps its other settings", async () => {
    const { chip, part } = fitted({ ...AT_25, 1: [0x21, 0xff] });
    await part.identify();
    expect(chip.writes).toEqual([Uint8Array.of(1, 0x20, 0xff)]);
  });
});
