// hwmon on files on disk through the real board's reader: units, fault flags, numbers that change, and files that lie.
import { rename, rm, writeFile } from "node:fs/promises";
import { describe, expect, it } from "vitest";
import { realBoard } from "../../../hardware/board.ts";
import { decode, hwmonTachometer, hwmonThermometer } from "../../../hardware/kernel/hwmon.ts";
import { kernelTree } from "../../support/kernel-tree.ts";

const HWMON = "/sys/class/hwmon";

async function thermometer(path: string, files: Readonly<Record<string, string>>) {
  const root = await kernelTree(files);
  return { root, part: hwmonThermometer("inlet", "inlet", path, await realBoard({ root })) };
}

describe("decode", () => {
  // Linux kernel, Documentation/hwmon/sysfs-interface.rst: temp[1-*]_input in millidegree Celsius.
  it.each([
    ["25000\n", 25],
    ["-12500\n", -12.5],
    ["0\n", 0],
    ["", null],
    ["25.0\n", null],
    ["warm\n", null],
  ])("reads %j", (text, celsius) => {
    expect(decode(text)).toBe(celsius);
  });
});

describe("a thermometer of the kernel", () => {
  const files = { [`${HWMON}/hwmon0/name`]: "lm75\n", [`${HWMON}/hwmon0/temp1_input`]: "-12500\n" };

  it("names its driver and reads", async () => {
    const { part } = await thermometer(`${HWMON}/hwmon0/temp1_input`, files);
    await expect(part.identify()).resolves.toBe("kernel driver lm75");
    await expect(part.read()).resolves.toEqual({ celsius: -12.5, humidityRatio: null });
  });

  it("reads afresh each time", async () => {
    const { root, part } = await thermometer(`${HWMON}/hwmon0/temp1_input`, files);
    await part.read();
    await writeFile(`${root}${HWMON}/hwmon0/temp1_input`, "31000\n");
    await expect(part.read()).resolves.toMatchObject({ celsius: 31 });
  });

  it("finds its device whatever number the kernel gave it, also when that changes", async () => {
    const folder = "/sys/bus/i2c/devices/1-0048/hwmon";
    const { root, part } = await thermometer(`${folder}/hwmon*/temp1_input`, {
      [`${folder}/hwmon7/name`]: "lm75\n",
      [`${folder}/hwmon7/temp1_input`]: "20000\n",
    });
    await expect(part.read()).resolves.toMatchObject({ celsius: 20 });
    await rename(`${root}${folder}/hwmon7`, `${root}${folder}/hwmon2`);
    await expect(part.read()).rejects.toMatchObject({ code: "FILE_MISSING" });
    await expect(part.read()).resolves.toMatchObject({ celsius: 20 });
  });

  it("does not choose between two devices", async () => {
    const { part } = await thermometer(`${HWMON}/hwmon*/temp1_input`, {
      ...files,
      [`${HWMON}/hwmon3/temp1_input`]: "40000\n",
    });
    await expect(part.identify()).rejects.toMatchObject({
      code: "FILE_MISSING",
      message: expect.stringContaining("hwmon3"),
    });
  });

  it("believes the driver's fault flag more than its number", async () => {
    const { root, part } = await thermometer(`${HWMON}/hwmon0/temp1_input`, {
      ...files,
      [`${HWMON}/hwmon0/temp1_fault`]: "1\n",
    });
    await expect(part.read()).rejects.toMatchObject({ code: "OUT_OF_RANGE" });
    await writeFile(`${root}${HWMON}/hwmon0/temp1_fault`, "0\n");
    await expect(part.read()).resolves.toMatchObject({ celsius: -12.5 });
  });

  it.each([
    ["no number", "warm\n", "MALFORMED"],
    ["nothing", "", "MALFORMED"],
    ["a temperature of no thermometer", "250000\n", "OUT_OF_RANGE"],
  ])("rejects %s", async (_what, text, code) => {
    const { part } = await thermometer(`${HWMON}/hwmon0/temp1_input`, {
      ...files,
      [`${HWMON}/hwmon0/temp1_input`]: text,
    });
    await expect(part.read()).rejects.toMatchObject({ code });
  });

  it("says that its file is gone", async () => {
    const { root, part } = await thermometer(`${HWMON}/hwmon0/temp1_input`, files);
    await part.read();
    await rm(`${root}${HWMON}/hwmon0`, { recursive: true });
    await expect(part.read()).rejects.toMatchObject({ code: "FILE_MISSING" });
  });

  it("refuses a path that is no input", async () => {
    await expect(thermometer(`${HWMON}/hwmon0/temp1_max`, files)).rejects.toThrow(RangeError);
  });
});

describe("a fan of the kernel", () => {
  it("gives its speed and says that regularity and edges are unknown", async () => {
    const root = await kernelTree({ [`${HWMON}/hwmon1/name`]: "pwmfan\n", [`${HWMON}/hwmon1/fan1_input`]: "10980\n" });
    const fan = hwmonTachometer(`${HWMON}/hwmon1/fan1_input`, await realBoard({ root }));
    await expect(fan.identify()).resolves.toBe("kernel driver pwmfan");
    await expect(fan.read()).resolves.toEqual({
      rpm: 10980,
      regularity: null,
      rejectedEdges: 0,
      lostEdges: null,
      secondsSinceEdge: null,
    });
  });

  it("rejects an impossible speed", async () => {
    const root = await kernelTree({ [`${HWMON}/hwmon1/fan1_input`]: "999999999\n" });
    const fan = hwmonTachometer(`${HWMON}/hwmon1/fan1_input`, await realBoard({ root }));
    await expect(fan.read()).rejects.toMatchObject({ code: "OUT_OF_RANGE" });
  });
});
