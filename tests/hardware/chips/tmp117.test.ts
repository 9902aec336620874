// TMP117: the data sheet's table, the identity without its revision bits, and the value before the first conversion.
import { describe, expect, it } from "vitest";
import { fitChip } from "../../../hardware/chips/chip.ts";
import { decode, tmp117 } from "../../../hardware/chips/tmp117.ts";
import { bytesOf, RegisterChip } from "../../support/register-chip.ts";

const AT_25 = { 0: [0x0c, 0x80], 1: [0x02, 0x20], 15: [0x01, 0x17] };

function fitted(registers: Readonly<Record<number, readonly number[]>>) {
  const chip = new RegisterChip(registers);
  return { chip, part: fitChip(tmp117, "outlet", chip.onBus().bus.device(0x49)) };
}

describe("decode", () => {
  // TMP117 data sheet SNOSD82D, table 7-1 (the last entry is printed cut to four decimals: 255.9921).
  it.each([
    ["8000", -256],
    ["F380", -25],
    ["FFF0", -0.125],
    ["FFFF", -0.0078125],
    ["0000", 0],
    ["0001", 0.0078125],
    ["0010", 0.125],
    ["0080", 1],
    ["0C80", 25],
    ["3200", 100],
    ["7FFF", 255.9921875],
  ])("gives the table's temperature for %sh", (digits, celsius) => {
    expect(decode(bytesOf(digits))).toBe(celsius);
  });
});

describe("the chip", () => {
  it("names its identity, any revision, and reads", async () => {
    const { part } = fitted({ ...AT_25, 15: [0x21, 0x17] });
    await expect(part.identify()).resolves.toBe("TMP117, identity 2117h");
    await expect(part.read()).resolves.toEqual({ celsius: 25, humidityRatio: null });
  });

  it("rejects another identity", async () => {
    const { part } = fitted({ ...AT_25, 15: [0x75, 0x00] });
    await expect(part.identify()).rejects.toMatchObject({ code: "WRONG_DEVICE" });
  });

  // SNOSD82D, temperature register: "Following a reset, the temperature register reads −256 °C until the first conversion".
  it("is not ready while the register holds the reset value", async () => {
    const { part } = fitted({ ...AT_25, 0: [0x80, 0x00] });
    await expect(part.read()).rejects.toMatchObject({ code: "NOT_READY" });
  });

  it("rejects what lies outside −55 to 150 °C", async () => {
    const { part } = fitted({ ...AT_25, 0: [0x7f, 0xff] });
    await expect(part.read()).rejects.toMatchObject({ code: "OUT_OF_RANGE" });
  });

  it.each([
    ["shutdown", [0x06, 0x20], 1],
    ["one shot", [0x0e, 0x20], 1],
    ["continuous", [0x02, 0x20], 0],
    ["the other continuous code", [0x0a, 0x20], 0],
  ])("sets continuous conversion when it finds %s", async (_mode, configuration, writes) => {
    const { chip, part } = fitted({ ...AT_25, 1: configuration });
    await part.identify();
    expect(chip.writes).toEqual(Array.from({ length: writes }, () => Uint8Array.of(1, 0x02, 0x20)));
  });
});
