// The board's contract on the real board with the real onoff and i2c-bus, their files on disk and their native halves moved by
// hand. The kernel guest runs the same clauses on a real kernel.
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { realBoard } from "../../hardware/board.ts";
import { ManualClock } from "../support/clock.ts";
import { chipFiles, GpioTree, isInstalled } from "../support/gpio-tree.ts";
import { kernelTree } from "../support/kernel-tree.ts";
import { NativeI2c } from "../support/native-i2c.ts";
import { type Bench, BOARD_CONTRACT } from "./board.ts";

const BASE = 571;

async function benchOnFiles(): Promise<Bench> {
  const root = await kernelTree({
    ...chipFiles([{ label: "pinctrl-rp1", base: BASE, lines: 54 }]),
    "/dev/i2c-1": "",
    "/run/outputs": "",
  });
  const tree = new GpioTree(root);
  const i2cBus = new NativeI2c().module(root);
  const clock = new ManualClock();
  const board = await realBoard({
    root,
    clock,
    outputRecord: join(root, "/run/outputs"),
    packages: { onoff: async () => tree.onoff, i2cBus: async () => i2cBus },
  });
  return {
    board,
    edges: {
      line: { chipLabel: null, offset: 17 },
      leastShare: 1,
      make: async () => {
        for (let edge = 0; edge < 100; edge += 1) {
          clock.advance(0.005);
          tree.fall(BASE + 17);
        }
        return 100;
      },
    },
    output: {
      line: { chipLabel: "pinctrl-rp1", offset: 24 },
      // A pin that was given back is pulled low from outside.
      level: async () => (tree.isExported(BASE + 24) && tree.read(BASE + 24, "value") === "1" ? 1 : 0),
    },
    chip: { bus: 1, address: 0x48 },
    absentAddress: 0x4f,
    absentBus: 9,
    absentLine: { chipLabel: null, offset: 54 },
    pass: (seconds) => clock.advanceAsync(seconds),
  };
}

describe("the real board on files", () => {
  if (isInstalled("onoff") && isInstalled("i2c-bus")) {
    it.each(BOARD_CONTRACT)("keeps the contract: $name", async ({ check }) => {
      await expect(check(await benchOnFiles())).resolves.toBeUndefined();
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
