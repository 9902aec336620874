// Lines through the real onoff on a sysfs tree: settings read back, pins that a crash left exported, udev's slowness, edges.
import { describe, expect, it } from "vitest";
import { realBoard } from "../../../hardware/board.ts";
import { openEdgeLine, openOutputLine } from "../../../hardware/gpio/sysfs-lines.ts";
import { chipFiles, GpioTree, isInstalled } from "../../support/gpio-tree.ts";
import { kernelTree } from "../../support/kernel-tree.ts";
import { ManualClock } from "../../support/manual-clock.ts";

const LINE = { number: 536, place: "gpio 24" };

async function pins() {
  const tree = new GpioTree(await kernelTree(chipFiles([{ label: "pinctrl-bcm2835", base: 512, lines: 54 }])));
  const clock = new ManualClock();
  return {
    tree,
    clock,
    edgeLine: () => openEdgeLine(tree.onoff, LINE, clock),
    outputLine: () => openOutputLine(tree.onoff, LINE, clock),
  };
}

if (!isInstalled("onoff")) {
  it("onoff is not installed here, and the board says so", async () => {
    const board = await realBoard({ root: await kernelTree(chipFiles([{ label: "any", base: 0, lines: 8 }])) });
    await expect(board.edgeLine({ chipLabel: null, offset: 1 }, "pull-up")).rejects.toMatchObject({
      code: "PACKAGE_MISSING",
    });
  });
} else {
  describe("an edge line", () => {
    it("is an input with falling edges, never debounced", async () => {
      const { tree, edgeLine } = await pins();
      const line = await edgeLine();
      expect(tree.read(536, "direction")).toBe("in");
      expect(tree.read(536, "edge")).toBe("falling");
      expect(tree.read(536, "active_low")).toBe("0");
      await expect(line.read()).resolves.toBe(0);
    });

    it("stamps each edge with the clock's time", async () => {
      const { tree, clock, edgeLine } = await pins();
      const line = await edgeLine();
      const times: number[] = [];
      line.onEdge((atSeconds) => times.push(atSeconds));
      for (let pulse = 0; pulse < 3; pulse += 1) {
        clock.advance(0.005);
        tree.fall(536);
      }
      expect(times).toEqual([1000.005, 1000.01, 1000.015].map((time) => expect.closeTo(time, 9)));
    });

    it("is watched only while somebody listens, and by as many as wish", async () => {
      const { tree, edgeLine } = await pins();
      const line = await edgeLine();
      const heard: string[] = [];
      const cancels = ["a", "b"].map((name) => line.onEdge(() => heard.push(name)));
      expect(tree.watched).toBe(1);
      tree.fall(536);
      cancels[0]?.();
      cancels[0]?.();
      tree.fall(536);
      cancels[1]?.();
      expect(tree.watched).toBe(0);
      tree.fall(536);
      expect(heard).toEqual(["a", "b", "b"]);
    });

    it("gives the pin back when it is closed, and is silent from then on", async () => {
      const { tree, edgeLine } = await pins();
      const line = await edgeLine();
      const cancel = line.onEdge(() => undefined);
      await line.close();
      await line.close();
      cancel();
      expect(tree.isExported(536)).toBe(false);
      expect(tree.watched).toBe(0);
      await expect(line.read()).rejects.toMatchObject({ code: "CLOSED" });
      expect(() => line.onEdge(() => undefined)).toThrow(expect.objectContaining({ code: "CLOSED" }));
    });

    it("takes over a pin that a crash left as an output with inverted sense", async () => {
      const { tree, edgeLine } = await pins();
      tree.export(536, { direction: "out", active_low: "1", value: "1" });
      await edgeLine();
      expect(tree.read(536, "direction")).toBe("in");
      expect(tree.read(536, "edge")).toBe("falling");
      expect(tree.read(536, "active_low")).toBe("0");
    });

    it("notices an edge setting that did not take on such a pin, where onoff says nothing, and opens it afresh", async () => {
      const { tree, edgeLine } = await pins();
      tree.export(536);
      tree.failures.set("gpio536/edge", ["EIO"]);
      await edgeLine();
      expect(tree.writes).toContain("unexport=536");
      expect(tree.read(536, "edge")).toBe("falling");
    });

    it("notices an inverted sense that stayed, where onoff says nothing, and opens the pin afresh", async () => {
      const { tree, edgeLine } = await pins();
      tree.export(536, { active_low: "1" });
      tree.failures.set("gpio536/active_low", ["EIO"]);
      await edgeLine();
      expect(tree.read(536, "active_low")).toBe("0");
    });

    it("reports settings that do not take at all, and gives the pin back", async () => {
      const { tree, clock, edgeLine } = await pins();
      tree.export(536);
      tree.failures.set("gpio536/edge", ["EIO", null, "EIO"]);
      await expect(clock.settle(edgeLine())).rejects.toMatchObject({ code: "IO", place: "gpio 24" });
    });
  });

  describe("an output line", () => {
    it("is low from the first moment, also on a pin that a crash left high", async () => {
      const { tree, outputLine } = await pins();
      tree.export(536, { direction: "out", value: "1" });
      const line = await outputLine();
      expect(tree.read(536, "direction")).toBe("out");
      await expect(line.read()).resolves.toBe(0);
    });

    it("writes and reads back", async () => {
      const { outputLine } = await pins();
      const line = await outputLine();
      await line.write(1);
      await expect(line.read()).resolves.toBe(1);
      await line.write(0);
      await expect(line.read()).resolves.toBe(0);
    });

    it("is driven low before it is given back", async () => {
      const { tree, outputLine } = await pins();
      const line = await outputLine();
      await line.write(1);
      await line.close();
      await line.close();
      expect(tree.isExported(536)).toBe(false);
      expect(tree.levelWhenGivenBack.get(536)).toBe("0");
      await expect(line.write(1)).rejects.toMatchObject({ code: "CLOSED" });
    });
  });

  describe.each([
    ["an edge line", "edgeLine"],
    ["an output line", "outputLine"],
  ] as const)("%s that cannot be opened", (_what, open) => {
    it.each([
      ["EBUSY", "LINE_BUSY"],
      ["EINVAL", "LINE_MISSING"],
      ["EIO", "IO"],
    ])("for %s is %s", async (errno, code) => {
      const pin = await pins();
      pin.tree.failures.set("export", [errno]);
      await expect(pin[open]()).rejects.toMatchObject({ code, place: "gpio 24" });
    });

    it("waits for udev to hand over the pin's files", async () => {
      const pin = await pins();
      pin.tree.failures.set("export", ["EACCES", "EACCES", "EACCES"]);
      const before = pin.clock.monotonicSeconds();
      await pin.clock.settle<unknown>(pin[open]());
      expect(pin.clock.monotonicSeconds() - before).toBeCloseTo(0.3, 9);
    });

    it("gives up after a second without permission", async () => {
      const pin = await pins();
      pin.tree.failures.set(
        "export",
        Array.from({ length: 50 }, () => "EACCES"),
      );
      await expect(pin.clock.settle<unknown>(pin[open]())).rejects.toMatchObject({ code: "PERMISSION" });
      expect(pin.clock.monotonicSeconds() - 1000).toBeLessThanOrEqual(1);
    });
  });
}
