// MCP9808: two's complement against the data sheet's figures (not its example code), flags, and both identity registers.
import { describe, expect, it } from "vitest";
import { fitChip } from "../../../hardware/chips/chip.ts";
import { decode, mcp9808 } from "../../../hardware/chips/mcp9808.ts";
import { bytesOf, RegisterChip } from "../../support/register-chip.ts";

const AT_25 = { 1: [0, 0], 5: [0xc1, 0x90], 6: [0x00, 0x54], 7: [0x04, 0x00] };

function fitted(registers: Readonly<Record<number, readonly number[]>>) {
  const chip = new RegisterChip(registers);
  return { chip, part: fitChip(mcp9808, "wall", chip.onBus().bus.device(0x18)) };
}

describe("decode", () => {
  // Worked by hand from register 5-4 of data sheet DS25095: bit 12 sign, bits 11:0 in 1/16 °C, two's complement.
  it.each([
    ["C190", 25],
    ["1E70", -25],
    ["0001", 0.0625],
    ["1FFF", -0.0625],
    ["07D0", 125],
    ["1D80", -40],
    ["0800", 128],
    ["0000", 0],
  ])("reads %sh", (digits, celsius) => {
    expect(decode(bytesOf(digits))).toBe(celsius);
  });
});

describe("the chip", () => {
  it("names maker and device and reads past the alert flags", async () => {
    const { part } = fitted(AT_25);
    await expect(part.identify()).resolves.toBe("MCP9808, manufacturer 0054h, device 0400h");
    await expect(part.read()).resolves.toEqual({ celsius: 25, humidityRatio: null });
  });

  it.each([
    ["another maker", { ...AT_25, 6: [0x54, 0x49] }],
    // MCP9804, data sheet DS22203C, register 5-6: device 02h.
    ["its sister", { ...AT_25, 7: [0x02, 0x01] }],
  ])("rejects %s", async (_what, registers) => {
    await expect(fitted(registers).part.identify()).rejects.toMatchObject({ code: "WRONG_DEVICE" });
  });

  it("does not take a line that floats high for −0.0625 °C", async () => {
    await expect(fitted({ ...AT_25, 5: [0xff, 0xff] }).part.read()).rejects.toMatchObject({ code: "OUT_OF_RANGE" });
  });

  // Data sheet DS25095, register 5-4: all bits are zero after power-on. At a true 0 °C the flag
  // of the critical limit, 0 °C after power-on too, is set.
  it("does not take its register after power-on for frost, and frost not for that", async () => {
    await expect(fitted({ ...AT_25, 5: [0x00, 0x00] }).part.read()).rejects.toMatchObject({ code: "NOT_READY" });
    await expect(fitted({ ...AT_25, 5: [0x80, 0x00] }).part.read()).resolves.toMatchObject({ celsius: 0 });
  });

  it("rejects what lies outside −40 to 125 °C", async () => {
    await expect(fitted({ ...AT_25, 5: [0x1c, 0x00] }).part.read()).rejects.toMatchObject({ code: "OUT_OF_RANGE" });
  });

  it("is woken", async () => {
    const { chip, part } = fitted({ ...AT_25, 1: [0x01, 0x00] });
    await part.identify();
    expect(chip.writes).toEqual([Uint8Array.of(1, 0, 0)]);
  });
});
