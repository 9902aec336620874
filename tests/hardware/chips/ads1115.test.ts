// ADS1115: codes and configuration against its data sheet, one conversion per input, and a chip that was reset in between.
import { describe, expect, it } from "vitest";
import { ads1115, configurationFor, decode } from "../../../hardware/chips/ads1115.ts";
import { fitChip } from "../../../hardware/chips/chip.ts";
import { bytesOf, RegisterChip } from "../../support/register-chip.ts";

/** Thresholds after power-on: ADS1115 data sheet SBAS444, tables 8-3 to 8-5. */
const POWERED = { 0: [0x00, 0x00], 1: [0x85, 0x83], 2: [0x80, 0x00], 3: [0x7f, 0xff] };

function fitted(inputs: Readonly<Record<number, number>>, reflected: 0 | 1 | 2 | 3 | null = 1) {
  const wire = new RegisterChip(POWERED);
  const { bus, clock } = wire.onBus();
  wire.onWrite = ([register, high = 0, low = 0]) => {
    if (register !== 1) return;
    wire.registers.set(1, [high, low]);
    wire.setWord(0, inputs[((high >> 4) & 7) - 4] ?? 0);
  };
  return { wire, clock, part: fitChip(ads1115(0, reflected), "drive", bus.device(0x48)) };
}

describe("decode", () => {
  // Full scale ±4.096 V: 125 µV a step; −FS 8000h, 0 0000h, +FS/2¹⁵ 0001h, −FS/2¹⁵ FFFFh, +FS 7FFFh (the family's table 7-3
  // as printed for the 12-bit sister ADS1015L, SBASAV7, with 2¹⁵ for 2¹¹).
  it.each([
    ["7FFF", 4.096 * (1 - 2 ** -15)],
    ["0001", 125e-6],
    ["0000", 0],
    ["FFFF", -125e-6],
    ["8000", -4.096],
    ["4000", 2.048],
  ])("gives %sh", (digits, volts) => {
    expect(decode(bytesOf(digits))).toBeCloseTo(volts, 12);
  });
});

describe("configurationFor", () => {
  // SBAS444, config register: OS 15, MUX 14:12 (100 + input against ground), PGA 11:9 (001 = ±4.096 V), MODE 8, DR 7:5
  // (100 = 128 a second), COMP_QUE 1:0 (11 = off).
  it.each([0, 1, 2, 3] as const)("starts a single conversion of input %i against ground", (channel) => {
    const word = configurationFor(channel);
    expect({
      start: word >> 15,
      input: (word >> 12) & 7,
      gain: (word >> 9) & 7,
      single: (word >> 8) & 1,
      rate: (word >> 5) & 7,
      comparator: word & 3,
    }).toEqual({ start: 1, input: 4 + channel, gain: 1, single: 1, rate: 4, comparator: 3 });
  });
});

describe("the chip", () => {
  it("reads forward and reflected volts, one conversion after the other", async () => {
    const { clock, part } = fitted({ 0: 0x2000, 1: 0x0400 });
    await expect(clock.settle(part.read())).resolves.toEqual({ forwardVolts: 1.024, reflectedVolts: 0.128 });
  });

  it("reads one direction where there is only one", async () => {
    const { wire, clock, part } = fitted({ 0: 0x2000 }, null);
    await expect(clock.settle(part.read())).resolves.toEqual({ forwardVolts: 1.024, reflectedVolts: null });
    expect(wire.writes).toHaveLength(1);
  });

  it("waits at least one conversion of 128 a second", async () => {
    const { clock, part } = fitted({ 0: 1 }, null);
    await clock.settle(part.identify());
    const before = clock.monotonicSeconds();
    await clock.settle(part.read());
    expect(clock.monotonicSeconds() - before).toBeGreaterThanOrEqual(1 / 128);
  });

  it.each([0x7fff, 0x8000])("calls an input at the end of its scale (%i) out of range", async (code) => {
    const { clock, part } = fitted({ 0: code });
    await expect(clock.settle(part.read())).rejects.toMatchObject({ code: "OUT_OF_RANGE" });
  });

  it("does not believe a chip that was reset while it converted", async () => {
    const { wire, clock, part } = fitted({ 0: 0x2000 });
    await clock.settle(part.identify());
    wire.onWrite = () => wire.setWord(1, 0x8583);
    await expect(clock.settle(part.read())).rejects.toMatchObject({ code: "NOT_READY" });
  });

  it("is another device when its thresholds are not those of the power-on", async () => {
    const { wire, clock, part } = fitted({});
    wire.setWord(3, 0x5000);
    await expect(clock.settle(part.identify())).rejects.toMatchObject({ code: "WRONG_DEVICE" });
  });

  it("cannot have one input for both directions", () => {
    expect(() => ads1115(2, 2)).toThrow(RangeError);
  });
});
