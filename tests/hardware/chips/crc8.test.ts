// Both checksums against the examples that their makers print.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { oneWireCrc8, sensirionCrc8 } from "../../../hardware/chips/crc8.ts";
import { bytesOf } from "../../support/register-chip.ts";

describe("sensirionCrc8", () => {
  it.each([
    // Data sheet SHT3x-DIS, table 20.
    ["BEEF", 0x92],
    // HDC302x data sheet SNAS778, CRC example: the same polynomial and start.
    ["ABAB", 0x72],
  ])("gives the printed example of %s", (digits, crc) => {
    expect(sensirionCrc8(bytesOf(digits))).toBe(crc);
  });
});

describe("oneWireCrc8", () => {
  it.each([
    // Analog Devices application note 27, the worked ROM code (from memory, reproduced).
    ["021CB801000000", 0xa2],
    // Scratchpads as Linux prints them in w1_slave.
    ["6D014B467FFF0C10", 0x68],
    ["98014B467FFF0810", 0x22],
  ])("gives the printed example of %s", (digits, crc) => {
    expect(oneWireCrc8(bytesOf(digits))).toBe(crc);
  });
});

describe.each([
  ["sensirionCrc8", sensirionCrc8],
  ["oneWireCrc8", oneWireCrc8],
])("%s", (_name, crc) => {
  it("notices every single wrong bit", () => {
    fc.assert(
      fc.property(fc.uint8Array({ minLength: 1, maxLength: 8 }), fc.nat(63), (bytes, bit) => {
        const spoilt = Uint8Array.from(bytes);
        const at = (bit >> 3) % bytes.length;
        spoilt[at] = (spoilt[at] ?? 0) ^ (1 << (bit & 7));
        return crc(spoilt) !== crc(bytes);
      }),
    );
  });
});
