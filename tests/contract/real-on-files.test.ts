// The board's contract on the real board, through both of the kernel's GPIO interfaces: sysfs with the real onoff on files,
// the character device at its binary interface; i2c-bus on files. The kernel guest runs the same clauses on a real kernel.
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { realBoard } from "../../hardware/board.ts";
import type { Board } from "../../hardware/ports.ts";
import { GpioKernel } from "../support/gpio-kernel.ts";
import { chipFiles, GpioTree, isInstalled } from "../support/gpio-tree.ts";
import { kernelTree } from "../support/kernel-tree.ts";
import { ManualClock } from "../support/manual-clock.ts";
import { NativeI2c } from "../support/native-i2c.ts";
import { type Bench, BOARD_CONTRACT } from "./board.ts";

const BASE = 571;
const CHIP = { label: "pinctrl-rp1", lines: 54 };

/** What differs between the interfaces: a board, one edge on the tach line, the level of the output's pin. */
type Lines = { readonly board: Board; readonly fall: () => void; readonly level: () => 0 | 1 };

async function throughSysfs(root: string, clock: ManualClock): Promise<Lines> {
  const tree = new GpioTree(root);
  const packages = { onoff: async () => tree.onoff, i2cBus: async () => new NativeI2c().module(root) };
  return {
    board: await realBoard({ root, clock, outputRecord: join(root, "/run/outputs"), gpio: "sysfs", packages }),
    fall: () => tree.fall(BASE + 17),
    // A pin that was given back is pulled low from outside.
    level: () => (tree.isExported(BASE + 24) && tree.read(BASE + 24, "value") === "1" ? 1 : 0),
  };
}

async function throughCharacterDevice(root: string, clock: ManualClock): Promise<Lines> {
  const kernel = new GpioKernel(root, [{ device: "gpiochip0", ...CHIP }], () => clock.monotonicSeconds());
  const packages = { kernelCalls: async () => kernel.calls, i2cBus: async () => new NativeI2c().module(root) };
  return {
    board: await realBoard({ root, clock, outputRecord: join(root, "/run/outputs"), gpio: "cdev", packages }),
    fall: () => kernel.fall(CHIP.label, 17),
    level: () => kernel.line(CHIP.label, 24).level,
  };
}

async function bench(through: typeof throughSysfs): Promise<Bench> {
  const root = await kernelTree({
    ...chipFiles([{ ...CHIP, base: BASE }]),
    "/dev/gpiochip0": "",
    "/dev/i2c-1": "",
    "/run/outputs": "",
  });
  const clock = new ManualClock();
  const { board, fall, level } = await through(root, clock);
  return {
    board,
    edges: {
      line: { headerPin: 11 },
      leastShare: 1,
      make: async () => {
        for (let edge = 0; edge < 100; edge += 1) {
          clock.advance(0.005);
          fall();
        }
        return 100;
      },
    },
    output: { line: { chipLabel: CHIP.label, offset: 24 }, level: async () => level() },
    chip: { bus: 1, address: 0x48 },
    absentAddress: 0x4f,
    absentBus: 9,
    absentLine: { chipLabel: null, offset: 54 },
    pass: (seconds) => clock.advanceAsync(seconds),
  };
}

const INTERFACES = [
  { name: "sysfs", package: "onoff", through: throughSysfs },
  { name: "the character device", package: "koffi", through: throughCharacterDevice },
];

describe.each(INTERFACES)("the real board on files, through $name", ({ package: needed, through }) => {
  if (isInstalled(needed) && isInstalled("i2c-bus")) {
    it.each(BOARD_CONTRACT)("keeps the contract: $name", async ({ check }) => {
      await expect(check(await bench(through))).resolves.toBeUndefined();
    });
  } else {
    it("has no packages to run on here, and says so", async () => {
      const root = await kernelTree({ ...chipFiles([{ label: "any", base: 0, lines: 8 }]), "/dev/i2c-1": "" });
      const board = await realBoard({ root });
      const outcomes = await Promise.allSettled([board.i2c(1), board.outputLine({ chipLabel: null, offset: 1 })]);
      expect(outcomes).toContainEqual({
        status: "rejected",
        reason: expect.objectContaining({ code: "PACKAGE_MISSING" }),
      });
    });
  }
});
