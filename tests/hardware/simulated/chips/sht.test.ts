// The simulated SHT3x and SHT4x against Sensirion's data sheets: commands, timing, checksum, conversion formulas.
import { describe, expect, it } from "vitest";
import { checksum, sht3x, sht4x } from "../../../../hardware/simulated/chips/sht.ts";
import { Bench } from "./wires.ts";

const command = (code: number): Uint8Array => Uint8Array.of(code >> 8, code & 0xff);
const wordAt = (bytes: Uint8Array, at: number): number => (bytes[at]! << 8) | bytes[at + 1]!;

describe("the checksum", () => {
  it("is the one of the data sheets' examples", () => {
    // SHT3x data sheet: CRC(BEEFh) = 92h. HDC302x data sheet, same polynomial and start: CRC(ABABh) = 72h.
    expect(checksum(0xbe, 0xef)).toBe(0x92);
    expect(checksum(0xab, 0xab)).toBe(0x72);
  });
});

describe("SHT3x", () => {
  it("answers a single shot after its conversion time with two checked words", () => {
    const bench = new Bench();
    const chip = sht3x(bench);
    bench.degrees = 25;
    bench.humidity = 0.4;
    chip.write(command(0x2400));
    expect(chip.read(6)).toBeNull();
    bench.seconds += 0.016;
    const bytes = chip.read(6)!;
    // T = −45 + 175·S/65535: 25 °C is 6666h.
    expect(wordAt(bytes, 0)).toBe(0x6666);
    expect(wordAt(bytes, 3)).toBe(Math.round(0.4 * 65535));
    expect(bytes[2]).toBe(checksum(bytes[0]!, bytes[1]!));
    expect(bytes[5]).toBe(checksum(bytes[3]!, bytes[4]!));
    // The result is given once.
    expect(chip.read(6)).toBeNull();
  });

  it.each([
    [0x240b, 0.0065],
    [0x2416, 0.0045],
    [0x2c06, 0.0155],
    [0x2c0d, 0.0065],
    [0x2c10, 0.0045],
  ])("knows command %i", (code, seconds) => {
    const bench = new Bench();
    const chip = sht3x(bench);
    chip.write(command(code));
    bench.seconds += seconds - 0.001;
    expect(chip.read(6)).toBeNull();
    bench.seconds += 0.0011;
    expect(wordAt(chip.read(6)!, 0)).toBe(0x6666);
  });

  it("tells status and serial number, and clears the status", () => {
    const bench = new Bench();
    const chip = sht3x(bench, 0x1234_5678);
    chip.write(command(0xf32d));
    expect(wordAt(chip.read(3)!, 0)).toBe(0x8010);
    chip.write(command(0x3041));
    chip.write(command(0xf32d));
    expect(wordAt(chip.read(3)!, 0)).toBe(0);
    chip.write(command(0x30a2));
    chip.write(command(0xf32d));
    expect(wordAt(chip.read(3)!, 0)).toBe(0x8010);
    chip.write(command(0x3780));
    bench.seconds += 0.002;
    const serial = chip.read(6)!;
    expect([wordAt(serial, 0), wordAt(serial, 3)]).toEqual([0x1234, 0x5678]);
    expect(serial[2]).toBe(checksum(0x12, 0x34));
  });

  it("does not answer what it does not know", () => {
    const chip = sht3x(new Bench());
    expect(chip.read(6)).toBeNull();
    chip.write(command(0x1111));
    expect(chip.read(6)).toBeNull();
  });
});

describe("SHT4x", () => {
  it("measures with its one-byte command and its own humidity scale", () => {
    const bench = new Bench();
    const chip = sht4x(bench);
    bench.humidity = 0.5;
    chip.write(Uint8Array.of(0xfd));
    bench.seconds += 0.008;
    expect(chip.read(6)).toBeNull();
    bench.seconds += 0.001;
    const bytes = chip.read(6)!;
    expect(wordAt(bytes, 0)).toBe(0x6666);
    // RH = −6 + 125·S/65535.
    expect(-6 + (125 * wordAt(bytes, 3)) / 65535).toBeCloseTo(50, 2);
  });

  it("is quicker at lower repeatability, and gives its serial number", () => {
    const bench = new Bench();
    const chip = sht4x(bench, 0xcafe_0001);
    chip.write(Uint8Array.of(0xe0));
    bench.seconds += 0.0017;
    expect(chip.read(6)).not.toBeNull();
    chip.write(Uint8Array.of(0x89));
    bench.seconds += 0.001;
    const serial = chip.read(6)!;
    expect([wordAt(serial, 0), wordAt(serial, 3)]).toEqual([0xcafe, 0x0001]);
    chip.write(Uint8Array.of(0x94));
    bench.seconds += 0.002;
    expect(chip.read(6)).toBeNull();
  });
});
