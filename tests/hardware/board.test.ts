// The real board: kernel files, the record of open outputs for the release step, and the real i2c-bus on a native side that
// behaves like the kernel's, with the two traps that the package is known for.

import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { type BoardPackages, loadPackage, realBoard } from "../../hardware/board.ts";
import { I2cBus } from "../../hardware/i2c.ts";
import { chipFiles, GpioTree, isInstalled } from "../support/gpio-tree.ts";
import { kernelTree } from "../support/kernel-tree.ts";
import { ManualClock } from "../support/manual-clock.ts";
import { NativeI2c } from "../support/native-i2c.ts";

const neither: Partial<BoardPackages> = {
  onoff: () => Promise.reject(new Error("not wanted here")),
  i2cBus: () => Promise.reject(new Error("not wanted here")),
};

describe("readText", () => {
  it("reads a kernel file and maps what cannot be read", async () => {
    const root = await kernelTree({ "/sys/class/hwmon/hwmon0/name": "lm75\n" });
    const board = await realBoard({ root, packages: neither });
    await expect(board.readText("/sys/class/hwmon/hwmon0/name")).resolves.toBe("lm75\n");
    await expect(board.readText("/sys/class/hwmon/hwmon0/none")).rejects.toMatchObject({
      code: "FILE_MISSING",
      place: "/sys/class/hwmon/hwmon0/none",
    });
    await expect(board.readText("/sys/class/hwmon/hwmon0")).rejects.toMatchObject({ code: "FILE_MISSING" });
  });
});

describe("i2c", () => {
  it("says that the bus is missing before any package is loaded", async () => {
    const board = await realBoard({ root: await kernelTree({ "/dev/null": "" }), packages: neither });
    await expect(board.i2c(1)).rejects.toMatchObject({
      code: "BUS_MISSING",
      place: "i2c-1",
      remedy: expect.stringContaining("dtparam=i2c_arm=on"),
    });
  });
});

describe("loadPackage", () => {
  it("names a package that is not installed, and says what to do", async () => {
    await expect(loadPackage("a-package-that-is-not-there", "anything")).rejects.toMatchObject({
      code: "PACKAGE_MISSING",
      place: "a-package-that-is-not-there",
      remedy: expect.stringContaining("npm install onoff i2c-bus"),
    });
  });

  it("does not take a package of that name for the wanted one when it lacks what is wanted", async () => {
    await expect(loadPackage<{ weld(): void }>("node:path", "weld")).rejects.toMatchObject({ code: "PACKAGE_MISSING" });
  });

  it.each(["node:path", "suncalc"])("finds what a package exports, by name or as its default: %s", async (name) => {
    const member = name === "node:path" ? "join" : "getPosition";
    const loaded = await loadPackage<Record<string, unknown>>(name, member);
    expect(loaded[member]).toBeTypeOf("function");
  });
});

if (isInstalled("i2c-bus")) {
  describe("i2c through i2c-bus itself", () => {
    async function bus() {
      const root = await kernelTree({ "/dev/i2c-1": "" });
      const native = new NativeI2c();
      const module = native.module(root);
      const board = await realBoard({ root, packages: { ...neither, i2cBus: async () => module } });
      // Files on disk take real time; the deadlines of this clock stand still meanwhile.
      const clock = new ManualClock();
      return { native, board, queue: new I2cBus({ bus: 1, clock, open: () => board.i2c(1) }) };
    }

    it("reads registers of two chips", async () => {
      const { queue } = await bus();
      const reads = [0x48, 0x49].map((address) => queue.device(address).readRegister(0, 2));
      await expect(Promise.all(reads)).resolves.toEqual([Uint8Array.of(0x19, 0), Uint8Array.of(0xe7, 0)]);
    });

    it("leaks no file when many ask for one chip at the same moment", async () => {
      const { native, queue } = await bus();
      await Promise.all(Array.from({ length: 10 }, () => queue.device(0x48).readRegister(0, 2)));
      expect(native.openFiles).toBe(1);
      await queue.close();
      expect(native.openFiles).toBe(0);
    });

    it("never reads through a file whose address was refused", async () => {
      const { native, queue } = await bus();
      native.busyOnce.add(0x48);
      const device = queue.device(0x48);
      await expect(device.readRegister(0, 2)).rejects.toMatchObject({ code: "ADDRESS_BUSY" });
      await expect(device.readRegister(0, 2)).resolves.toEqual(Uint8Array.of(0x19, 0));
      expect(native.readsWithoutAddress).toEqual([]);
    });

    it("shows that trap when the queue is left out: this is what the package does by itself", async () => {
      const { native, board } = await bus();
      native.busyOnce.add(0x48);
      const handle = await board.i2c(1);
      await expect(handle.readRegister(0x48, 0, 2)).rejects.toMatchObject({ code: "EBUSY" });
      await expect(handle.readRegister(0x48, 0, 2)).rejects.toMatchObject({ code: "EREMOTEIO" });
      expect(native.readsWithoutAddress).toHaveLength(1);
    });

    it("gives a chip that is not there as NACK", async () => {
      const { queue } = await bus();
      await expect(queue.device(0x4a).readRegister(0, 2)).rejects.toMatchObject({ code: "NACK" });
    });

    it("does not keep a handle that its owner has closed: over the years there will be many", async () => {
      const { native, board } = await bus();
      for (let reopened = 0; reopened < 5; reopened += 1) {
        const handle = await board.i2c(1);
        await handle.readRegister(0x48, 0, 2);
        await handle.close();
      }
      expect(native.openFiles).toBe(0);
      await board.close();
      expect(native.openFiles).toBe(0);
    });

    it("closes what is open with the board", async () => {
      const { native, board } = await bus();
      const handle = await board.i2c(1);
      await handle.readRegister(0x48, 0, 2);
      await board.close();
      expect(native.openFiles).toBe(0);
    });
  });
}

if (isInstalled("onoff")) {
  describe("lines through onoff itself", () => {
    async function board() {
      const root = await kernelTree({
        ...chipFiles([{ label: "pinctrl-rp1", base: 571, lines: 54 }]),
        "/run/emberwire/outputs": "",
      });
      const tree = new GpioTree(root);
      const outputRecord = join(root, "/run/emberwire/outputs");
      const packages = { ...neither, onoff: async () => tree.onoff };
      return { tree, outputRecord, board: await realBoard({ root, outputRecord, packages }) };
    }

    it("opens lines by the header chip's base and records its outputs for the release step", async () => {
      const { tree, outputRecord, board: real } = await board();
      await real.edgeLine({ chipLabel: null, offset: 24 }, "pull-up");
      await real.outputLine({ chipLabel: null, offset: 5 });
      await real.outputLine({ chipLabel: "pinctrl-rp1", offset: 6 });
      expect(tree.read(595, "edge")).toBe("falling");
      await expect(readFile(outputRecord, "utf8")).resolves.toBe(
        "/sys/class/gpio/gpio576/value\n/sys/class/gpio/gpio577/value\n",
      );
    });

    it("releases and gives back everything when it is closed", async () => {
      const { tree, board: real } = await board();
      await real.edgeLine({ chipLabel: null, offset: 24 }, "pull-up");
      const output = await real.outputLine({ chipLabel: null, offset: 5 });
      await output.write(1);
      await real.close();
      expect([595, 576].map((number) => tree.isExported(number))).toEqual([false, false]);
    });

    it("says so when the record cannot be written, for then nothing would release a dead process's lines", async () => {
      const root = await kernelTree(chipFiles([{ label: "pinctrl-rp1", base: 571, lines: 54 }]));
      const tree = new GpioTree(root);
      const packages = { ...neither, onoff: async () => tree.onoff };
      const real = await realBoard({ root, outputRecord: join(root, "run/outputs"), packages });
      await expect(real.outputLine({ chipLabel: null, offset: 5 })).rejects.toMatchObject({ code: "FILE_MISSING" });
      expect(tree.isExported(576)).toBe(false);
    });
  });
}
