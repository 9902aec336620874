// 1-Wire thermometers: the data sheet's table through the kernel's text, the power-on value, checksums, and slow conversions.
import { writeFile } from "node:fs/promises";
import { describe, expect, it } from "vitest";
import { realBoard } from "../../../hardware/board.ts";
import { oneWireCrc8 } from "../../../hardware/chips/crc8.ts";
import { decode, decodeTemperature, oneWireThermometer } from "../../../hardware/kernel/one-wire.ts";
import type { Board } from "../../../hardware/ports.ts";
import { kernelTree } from "../../support/kernel-tree.ts";
import { ManualClock } from "../../support/manual-clock.ts";

/** The text that w1_therm makes of a scratchpad. */
function slaveText(scratchpad: readonly number[], verdict = "YES"): string {
  const bytes = [...scratchpad, oneWireCrc8(Uint8Array.from(scratchpad))];
  const hexadecimal = bytes.map((byte) => byte.toString(16).padStart(2, "0")).join(" ");
  const raw = (((scratchpad[1] ?? 0) << 24) >> 16) | (scratchpad[0] ?? 0);
  // The kernel's arithmetic: value × 1000 / 16 in whole numbers, cut towards zero.
  return `${hexadecimal} : crc=${hexadecimal.slice(-2)} ${verdict}\n${hexadecimal} t=${Math.trunc((raw * 1000) / 16)}\n`;
}

const scratchpadOf = (word: number, byte6 = 0x10): number[] => [
  word & 0xff,
  word >> 8,
  0x4b,
  0x46,
  0x7f,
  0xff,
  byte6,
  0x10,
];

describe("decode", () => {
  // DS18B20 data sheet (19-7487), table 1, temperature/data relationship; the kernel gives thousandths, cut.
  it.each([
    [0x07d0, 125],
    [0x0550, 85],
    [0x0191, 25.062],
    [0x00a2, 10.125],
    [0x0008, 0.5],
    [0x0000, 0],
    [0xfff8, -0.5],
    [0xff5e, -10.125],
    [0xfe6f, -25.062],
    [0xfc90, -55],
  ])("gives the table's temperature for %i", (word, celsius) => {
    expect(decode(slaveText(scratchpadOf(word)))).toBe(celsius);
  });

  it("reads the kernel's own words", () => {
    const text = "6d 01 4b 46 7f ff 0c 10 68 : crc=68 YES\n6d 01 4b 46 7f ff 0c 10 68 t=22812\n";
    expect(decode(text)).toBe(22.812);
  });

  // Linux kernel, Documentation/ABI/testing/sysfs-driver-w1_therm, "features": byte 6 is 0Ch after power-on; with 85.00 °C it
  // is the power-on value, with 127.94 °C a conversion without enough power.
  it.each([0x0550, 0x07ff])("rejects %i with byte 6 at 0Ch as a conversion that did not happen", (word) => {
    expect(() => decode(slaveText(scratchpadOf(word, 0x0c)))).toThrow(
      expect.objectContaining({ code: "POWER_ON_VALUE" }),
    );
  });

  it.each([
    ["the kernel's verdict", slaveText(scratchpadOf(0x0191), "NO"), "CRC"],
    ["a spoilt byte that the kernel did not see", slaveText(scratchpadOf(0x0191)).replace(/^91/, "90"), "CRC"],
    ["a wire held low", slaveText([0, 0, 0, 0, 0, 0, 0, 0]), "CRC"],
    ["half a text", "6d 01 4b 46 7f ff 0c 10 68 : crc=68 YES\n", "MALFORMED"],
    ["no text", "", "MALFORMED"],
    ["more than the chip measures", slaveText(scratchpadOf(0x07ff)), "OUT_OF_RANGE"],
  ])("rejects %s", (_what, text, code) => {
    expect(() => decode(text)).toThrow(expect.objectContaining({ code }));
  });
});

describe("decodeTemperature", () => {
  it.each([
    ["25062\n", 25.062],
    ["-55000\n", -55],
    ["84937\n", 84.937],
  ])("reads %j", (text, celsius) => {
    expect(decodeTemperature(text)).toBe(celsius);
  });

  it.each([
    ["85000\n", "POWER_ON_VALUE"],
    ["127937\n", "OUT_OF_RANGE"],
    ["\n", "MALFORMED"],
    ["25.0\n", "MALFORMED"],
  ])("rejects %j", (text, code) => {
    expect(() => decodeTemperature(text)).toThrow(expect.objectContaining({ code }));
  });
});

describe("a 1-Wire thermometer on disk", () => {
  const folder = "/sys/bus/w1/devices/28-0316a2794bff";

  it.each([folder, `${folder}/`, `${folder}/w1_slave`])("is found at %s", async (path) => {
    const root = await kernelTree({ [`${folder}/w1_slave`]: slaveText(scratchpadOf(0x0191)) });
    const part = oneWireThermometer("core", "core", path, await realBoard({ root }));
    await expect(part.identify()).resolves.toBe("DS18B20, serial 0316a2794bff");
    await expect(part.read()).resolves.toEqual({ celsius: 25.062, humidityRatio: null });
  });

  it("is read from its temperature file when that is what was configured", async () => {
    const root = await kernelTree({ [`${folder}/temperature`]: "25062\n" });
    const part = oneWireThermometer("core", "core", `${folder}/temperature`, await realBoard({ root }));
    await expect(part.read()).resolves.toMatchObject({ celsius: 25.062 });
  });

  it("rejects a device of a family that is no thermometer", async () => {
    const memory = "/sys/bus/w1/devices/2d-0316a2794bff";
    const root = await kernelTree({ [`${memory}/w1_slave`]: "" });
    const part = oneWireThermometer("core", "core", memory, await realBoard({ root }));
    await expect(part.identify()).rejects.toMatchObject({ code: "WRONG_DEVICE" });
  });

  it("says that its file is missing, and reads when it has come", async () => {
    const root = await kernelTree({ [`${folder}/id`]: "" });
    const part = oneWireThermometer("core", "core", folder, await realBoard({ root }));
    await expect(part.identify()).rejects.toMatchObject({ code: "FILE_MISSING" });
    await writeFile(`${root}${folder}/w1_slave`, slaveText(scratchpadOf(0x0191)));
    // One failed look may have been under way already; it too is handed out, once.
    await part.read().catch(() => undefined);
    await expect(part.read()).resolves.toMatchObject({ celsius: 25.062 });
  });
});

describe("a slow conversion", () => {
  /** A file whose read takes a 12-bit conversion, and counts. */
  function slow(seconds: number) {
    const clock = new ManualClock();
    let count = 0;
    const board = {
      clock,
      readText: () =>
        new Promise<string>((resolve) => {
          clock.after(seconds, () => {
            count += 1;
            resolve(`${count * 1000}\n`);
          });
        }),
    } as unknown as Board;
    return { clock, part: oneWireThermometer("core", "core", "/w1/28-000000000001/temperature", board) };
  }

  it("of 0.8 s misses the first cycle, then gives one new number to each", async () => {
    const { clock, part } = slow(0.8);
    const seen: (number | string)[] = [];
    for (let cycle = 0; cycle < 5; cycle += 1) {
      const reading = part.read().then(
        (sample) => seen.push(sample.celsius),
        (error) => seen.push(error.code),
      );
      await clock.advanceAsync(1);
      await reading;
    }
    expect(seen).toEqual(["TIMEOUT", 1, 2, 3, 4]);
  });

  it("keeps nobody waiting for a number that is ready", async () => {
    const { clock, part } = slow(0.3);
    await clock.settle(part.read());
    await clock.advanceAsync(1);
    const before = clock.monotonicSeconds();
    await clock.settle(part.read());
    expect(clock.monotonicSeconds()).toBe(before);
  });

  it("is not handed out when it has grown old", async () => {
    const { clock, part } = slow(0.3);
    await clock.settle(part.read());
    await clock.advanceAsync(60);
    await expect(clock.settle(part.read())).resolves.toMatchObject({ celsius: 3 });
  });

  it("that never ends is a TIMEOUT every time, and only one of them hangs", async () => {
    const { clock, part } = slow(1e6);
    for (let cycle = 0; cycle < 5; cycle += 1) {
      const reading = expect(part.read()).rejects.toMatchObject({ code: "TIMEOUT" });
      await clock.advanceAsync(1);
      await reading;
    }
    expect(clock.pending).toBe(1);
  });
});
