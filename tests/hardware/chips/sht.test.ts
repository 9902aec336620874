// SHT3x and SHT4x: the data sheets' formulas and checksum, the waits, and what noise or another chip looks like.
import { describe, expect, it } from "vitest";
import { fitChip } from "../../../hardware/chips/chip.ts";
import { sensirionCrc8 } from "../../../hardware/chips/crc8.ts";
import { decode as decode3, sht3x } from "../../../hardware/chips/sht3x.ts";
import { decode as decode4, sht4x } from "../../../hardware/chips/sht4x.ts";
import { RegisterChip } from "../../support/register-chip.ts";

/** Words with their checksums, as they cross the wire. */
function frame(...words: readonly number[]): number[] {
  return words.flatMap((word) => {
    const pair = [word >> 8, word & 0xff];
    return [...pair, sensirionCrc8(Uint8Array.from(pair))];
  });
}

describe("decode of SHT3x", () => {
  // Data sheet SHT3x-DIS, section 4.13: T = −45 + 175·S/(2¹⁶−1), RH = 100·S/(2¹⁶−1).
  it.each([
    [0x0000, 0x0000, -45, 0],
    [0x6666, 0x8000, 25, 32768 / 65535],
    [0xffff, 0xffff, 130, 1],
  ])("converts %i and %i", (temperature, humidity, celsius, ratio) => {
    const sample = decode3(Uint8Array.from(frame(temperature, humidity)));
    expect(sample.celsius).toBeCloseTo(celsius, 9);
    expect(sample.humidityRatio).toBeCloseTo(ratio, 9);
  });

  it.each([2, 5])("rejects a wrong checksum in byte %i", (at) => {
    const bytes = Uint8Array.from(frame(0x6666, 0x8000));
    bytes[at] = (bytes[at] ?? 0) ^ 1;
    expect(() => decode3(bytes)).toThrow(expect.objectContaining({ code: "CRC" }));
  });
});

describe("decode of SHT4x", () => {
  // Data sheet SHT4x, section "Conversion of signal output": RH = −6 + 125·S/(2¹⁶−1) %, cropped to 0–100 %.
  it.each([
    [0x6666, 0x0000, 25, 0],
    [0x6666, 0x8000, 25, -0.06 + (1.25 * 32768) / 65535],
    [0x6666, 0xffff, 25, 1],
  ])("converts %i and %i", (temperature, humidity, celsius, ratio) => {
    const sample = decode4(Uint8Array.from(frame(temperature, humidity)));
    expect(sample.celsius).toBeCloseTo(celsius, 9);
    expect(sample.humidityRatio).toBeCloseTo(ratio, 9);
  });
});

describe.each([
  { name: "SHT3x", chip: sht3x, ask: [0xf3, 0x2d], answer: frame(0x8010), measure: [0x24, 0x00], waitSeconds: 0.0155 },
  { name: "SHT4x", chip: sht4x, ask: [0x89], answer: frame(0x0f12, 0xabcd), measure: [0xfd], waitSeconds: 0.0083 },
])("$name", ({ chip, ask, answer, measure, waitSeconds }) => {
  function fitted() {
    const wire = new RegisterChip();
    const { bus, clock } = wire.onBus();
    wire.onWrite = (bytes) => {
      wire.answer = bytes[0] === ask[0] ? answer : frame(0x6666, 0x8000);
    };
    return { wire, clock, part: fitChip(chip, "ambient", bus.device(0x44)) };
  }

  it("identifies itself, then measures after the longest conversion time of its data sheet", async () => {
    const { wire, clock, part } = fitted();
    await clock.settle(part.identify());
    const before = clock.monotonicSeconds();
    const sample = await clock.settle(part.read());
    expect(sample.celsius).toBeCloseTo(25, 9);
    expect(wire.writes.map((bytes) => [...bytes])).toEqual([[...ask], [...measure]]);
    expect(clock.monotonicSeconds() - before).toBeGreaterThanOrEqual(waitSeconds);
  });

  it("calls a chip that never has the right checksum another device", async () => {
    const { wire, clock, part } = fitted();
    wire.onWrite = () => {
      wire.answer = [0x39, 0x9f, 0x00, 0x39, 0x9f, 0x00];
    };
    await expect(clock.settle(part.identify())).rejects.toMatchObject({ code: "WRONG_DEVICE" });
  });

  it("survives one spoilt checksum while it identifies", async () => {
    const { wire, clock, part } = fitted();
    wire.onWrite = () => {
      const isFirst = wire.writes.length === 1;
      wire.answer = isFirst ? answer.map((byte, at) => (at === 2 ? byte ^ 0x80 : byte)) : answer;
    };
    await expect(clock.settle(part.identify())).resolves.toContain(chip.part);
  });

  it("rejects a spoilt measurement", async () => {
    const { wire, clock, part } = fitted();
    await clock.settle(part.identify());
    wire.onWrite = () => {
      wire.answer = frame(0x6666, 0x8000).map((byte, at) => (at === 0 ? byte ^ 0x10 : byte));
    };
    await expect(clock.settle(part.read())).rejects.toMatchObject({ code: "CRC" });
  });

  it("keeps two readings at once apart: each has its own command and its own wait", async () => {
    const { wire, clock, part } = fitted();
    await clock.settle(part.identify());
    await clock.settle(Promise.all([part.read(), part.read()]));
    expect(wire.writes.slice(1).map((bytes) => [...bytes])).toEqual([[...measure], [...measure]]);
    expect(wire.calls.slice(2)).toEqual(["write", "read", "write", "read"]);
  });
});
