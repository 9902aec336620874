// The fake kernel files: the kernel's units, its 1-wire text with checksum, and its errors.
import { describe, expect, it } from "vitest";
import type { Fault } from "../../../hardware/simulated/faults.ts";
import { dallasChecksum } from "../../../hardware/simulated/kernel-files.ts";
import { shed, WIRING } from "./shed.ts";

const HWMON = "/sys/class/hwmon/hwmon0/temp1_input";
const ONE_WIRE = "/sys/bus/w1/devices/28-00000a1b2c3d";
const forGood = { startSeconds: 0, endSeconds: null };

async function read(path: string, faults: readonly Fault[] = [], spec = WIRING) {
  const { base, board } = shed({ faults, spec });
  const began = base.monotonicSeconds();
  const text = await base.settle(board.readText(path));
  return { text, truth: board.truth(), waited: base.monotonicSeconds() - began };
}

describe("hwmon files", () => {
  it("hold thousandths of a degree in sixteenths, and the driver's name", async () => {
    const { text, truth } = await read(HWMON);
    expect(text).toMatch(/^-?\d+\n$/);
    expect(Math.abs(Number(text) / 1000 - truth.wallCelsius)).toBeLessThan(0.5);
    expect(Math.abs((Number(text) * 16) / 1000 - Math.round((Number(text) * 16) / 1000))).toBeLessThan(0.009);
    expect((await read("/sys/class/hwmon/hwmon0/name")).text).toBe("lm75\n");
  });

  it("hold the fan's speed, lost or noisy leads included", async () => {
    const path = "/sys/class/hwmon/hwmon3/fan1_input";
    const spec = { ...WIRING, tachometer: { kind: "hwmon", path } as const };
    expect(Math.abs(Number((await read(path, [], spec)).text) - 11_000)).toBeLessThan(200);
    expect((await read(path, [{ kind: "tach lead lost", ...forGood }], spec)).text).toBe("0\n");
    const noisy = await read(path, [{ kind: "tach noise", edgesPerSecond: 1000, ...forGood }], spec);
    expect(Number(noisy.text)).toBeGreaterThan(40_000);
    expect((await read("/sys/class/hwmon/hwmon3/name", [], spec)).text).toBe("pwmfan\n");
  });

  it("fail as the kernel's do", async () => {
    const { board } = shed({ faults: [{ kind: "chip silent", part: "wall", ...forGood }] });
    await expect(board.readText("/sys/class/hwmon/hwmon9/temp1_input")).rejects.toMatchObject({ code: "ENOENT" });
    await expect(board.readText(HWMON)).rejects.toMatchObject({ code: "EREMOTEIO" });
    expect((await read(HWMON, [{ kind: "power-on value", part: "wall", ...forGood }])).text).toBe("0\n");
    expect(Number((await read(HWMON, [{ kind: "garbage bytes", part: "wall", ...forGood }])).text)).toBeNaN();
  });
});

describe("1-wire files", () => {
  it("hold a scratchpad with its checksum and the temperature, after a conversion's time", async () => {
    const { text, truth, waited } = await read(`${ONE_WIRE}/w1_slave`);
    const lines = text.split("\n");
    expect(lines[0]).toMatch(/^([0-9a-f]{2} ){9}: crc=[0-9a-f]{2} YES$/);
    expect(lines[1]).toMatch(/^([0-9a-f]{2} ){9}t=-?\d+$/);
    const milli = Number(lines[1]!.split("t=")[1]);
    expect(Math.abs(milli / 1000 - truth.meanCoreCelsius)).toBeLessThan(0.5);
    expect(waited).toBeCloseTo(0.75, 6);
    expect((await read(`${ONE_WIRE}/temperature`)).text).toMatch(/^-?\d+\n$/);
    expect((await read(`${ONE_WIRE}/name`)).text).toBe("28-00000a1b2c3d\n");
  });

  it("are found below the device's folder as well", async () => {
    const sensors = WIRING.sensors.map((sensor) =>
      sensor.name === "core" ? { ...sensor, source: { kind: "one-wire", path: ONE_WIRE } as const } : sensor,
    );
    expect((await read(`${ONE_WIRE}/w1_slave`, [], { ...WIRING, sensors })).text).toContain("YES");
  });

  it("hold 85 °C when the chip has just been powered", async () => {
    // DS18B20 data sheet: the power-on scratchpad reads 0550h, 85 °C.
    const { text } = await read(`${ONE_WIRE}/w1_slave`, [{ kind: "power-on value", part: "core", ...forGood }]);
    expect(text).toMatch(/^50 05 .* YES\n50 05 .* t=85000\n$/);
  });

  it("say NO when the checksum is wrong, and fail with EIO where the kernel does", async () => {
    const wrong: Fault = { kind: "checksum wrong", part: "core", ...forGood };
    expect((await read(`${ONE_WIRE}/w1_slave`, [wrong])).text).toMatch(/crc=[0-9a-f]{2} NO\n/);
    await expect(read(`${ONE_WIRE}/temperature`, [wrong])).rejects.toMatchObject({ code: "EIO" });
    const silent: Fault = { kind: "chip silent", part: "core", ...forGood };
    await expect(read(`${ONE_WIRE}/w1_slave`, [silent])).rejects.toMatchObject({ code: "EIO" });
  });

  it("use the checksum of the 1-wire standard", () => {
    // Worked scratchpads of the DS18B20 documentation, and the ROM of Maxim application note 27 (from memory).
    expect(dallasChecksum([0x6d, 0x01, 0x4b, 0x46, 0x7f, 0xff, 0x0c, 0x10])).toBe(0x68);
    expect(dallasChecksum([0x98, 0x01, 0x4b, 0x46, 0x7f, 0xff, 0x08, 0x10])).toBe(0x22);
    expect(dallasChecksum([0x02, 0x1c, 0xb8, 0x01, 0x00, 0x00, 0x00])).toBe(0xa2);
  });
});
