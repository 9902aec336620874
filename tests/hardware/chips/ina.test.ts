// INA219 and INA226 against the worked examples that their data sheets print; both 10 A through 2 mΩ at 11.98 V.
import { describe, expect, it } from "vitest";
import { type Chip, fitChip } from "../../../hardware/chips/chip.ts";
import { decodeBus as bus219, ina219, decodeShunt as shunt219 } from "../../../hardware/chips/ina219.ts";
import { decodeBus as bus226, ina226, decodeShunt as shunt226 } from "../../../hardware/chips/ina226.ts";
import type { SupplySample } from "../../../hardware/ports.ts";
import { bytesOf, RegisterChip } from "../../support/register-chip.ts";

const MILLIOHMS_2 = 0.002;

function fitted(chip: Chip<SupplySample>, registers: Readonly<Record<number, readonly number[]>>) {
  const wire = new RegisterChip(registers);
  const { bus, clock } = wire.onBus();
  wire.onWrite = ([register = 0, high = 0, low = 0]) => {
    // A reset brings back the start-up word (SBOS448, table "Summary of register set": 399Fh).
    wire.registers.set(register, (high & 0x80) !== 0 ? [0x39, 0x9f] : [high, low]);
  };
  return { wire, clock, part: fitChip(chip, "supply", bus.device(0x40)) };
}

describe("decode", () => {
  // SBOS448F, table 3 (configure/measure/calculate example): shunt 07D0h = 20 mV; bus 5D98h → 2995 steps of 4 mV = 11.98 V.
  it("gives the INA219 example", () => {
    expect(shunt219(bytesOf("07D0"))).toBeCloseTo(0.02, 12);
    expect(bus219(bytesOf("5D98"))).toBeCloseTo(11.98, 12);
  });

  // SBOS547, table 1 (configure/measure/calculate example): shunt 1F40h = 20 mV; bus 2570h = 11.98 V.
  it("gives the INA226 example", () => {
    expect(shunt226(bytesOf("1F40"))).toBeCloseTo(0.02, 12);
    expect(bus226(bytesOf("2570"))).toBeCloseTo(11.98, 12);
  });

  // SBOS448, bus voltage register: full scale 32 V is 1F40h in bits 15:3; flags in bits 1 and 0 are no volts.
  it("reads the INA219's full scale past its flags", () => {
    expect(bus219(Uint8Array.of((0x1f40 << 3) >> 8, ((0x1f40 << 3) & 0xff) | 3))).toBeCloseTo(32, 12);
  });

  it.each([
    ["INA219", shunt219, 10e-6],
    ["INA226", shunt226, 2.5e-6],
  ])("takes the %s's shunt voltage as two's complement", (_part, decodeShunt, volts) => {
    expect(decodeShunt(bytesOf("FFFF"))).toBeCloseTo(-volts, 12);
  });
});

describe("INA219", () => {
  const example = { 0: [0x39, 0x9f], 1: [0x07, 0xd0], 2: [0x5d, 0x98] };

  it("shows the example's 10 A at 11.98 V", async () => {
    const { clock, part } = fitted(ina219(MILLIOHMS_2), example);
    const sample = await clock.settle(part.read());
    expect(sample.amperes).toBeCloseTo(10, 9);
    // Table 3's power: 119.8 W.
    expect(sample.volts * sample.amperes).toBeCloseTo(119.8, 6);
  });

  it("is recognised by its start-up word after a reset, whatever was set before", async () => {
    const { wire, clock, part } = fitted(ina219(MILLIOHMS_2), { ...example, 0: [0x01, 0x9f] });
    await expect(clock.settle(part.identify())).resolves.toContain("INA219");
    expect(wire.registers.get(0)).toEqual([0x3f, 0xff]);
  });

  it.each([
    ["a word that the chip cannot hold", [0x80, 0x00]],
    ["a register that no reset changes", [0x19, 0x00]],
  ])("rejects %s", async (_what, configuration) => {
    const { wire, clock, part } = fitted(ina219(MILLIOHMS_2), { ...example, 0: configuration });
    wire.onWrite = () => undefined;
    await expect(clock.settle(part.identify())).rejects.toMatchObject({ code: "WRONG_DEVICE" });
  });

  it("calls a shunt at the end of its 320 mV out of range", async () => {
    const { clock, part } = fitted(ina219(MILLIOHMS_2), { ...example, 1: [0x7d, 0x00] });
    await expect(clock.settle(part.read())).rejects.toMatchObject({ code: "OUT_OF_RANGE" });
  });
});

describe("INA226", () => {
  // SBOS547B, table 7-1: manufacturer 5449h, die 2260h, configuration 4127h.
  const example = { 0: [0x41, 0x27], 1: [0x1f, 0x40], 2: [0x25, 0x70], 254: [0x54, 0x49], 255: [0x22, 0x60] };

  it("shows the example's 10 A at 11.98 V", async () => {
    const { clock, part } = fitted(ina226(MILLIOHMS_2), example);
    const sample = await clock.settle(part.read());
    expect(sample).toEqual({ volts: expect.closeTo(11.98, 9), amperes: expect.closeTo(10, 9) });
  });

  it("names maker and die, and averages", async () => {
    const { wire, clock, part } = fitted(ina226(MILLIOHMS_2), example);
    await expect(clock.settle(part.identify())).resolves.toBe("INA226, manufacturer 5449h, die 2260h");
    expect(wire.registers.get(0)).toEqual([0x45, 0x27]);
  });

  it.each([
    ["another maker", 254],
    ["another die", 255],
  ])("rejects %s", async (_what, register) => {
    const { clock, part } = fitted(ina226(MILLIOHMS_2), { ...example, [register]: [0x22, 0x70] });
    await expect(clock.settle(part.identify())).rejects.toMatchObject({ code: "WRONG_DEVICE" });
  });

  it.each([
    ["the shunt at the end of its scale", 1, [0x7f, 0xff]],
    ["the shunt at the other end", 1, [0x80, 0x00]],
    ["a bus word with the bit that is always zero", 2, [0xff, 0xff]],
  ])("calls %s out of range", async (_what, register, bytes) => {
    const { clock, part } = fitted(ina226(MILLIOHMS_2), { ...example, [register]: bytes });
    await expect(clock.settle(part.read())).rejects.toMatchObject({ code: "OUT_OF_RANGE" });
  });
});

describe.each([
  ["ina219", ina219],
  ["ina226", ina226],
])("%s", (_name, chip) => {
  it.each([0, -0.1, 100, Number.NaN])("rejects a shunt of %d Ω", (ohms) => {
    expect(() => chip(ohms)).toThrow(RangeError);
  });
});
