// A line's number in sysfs: base plus offset of the chip found by its label, on trees as real boards show them.
import { describe, expect, it } from "vitest";
import { findSysfsLine, listSysfsChips } from "../../../hardware/gpio/sysfs-chips.ts";
import type { LineSpec } from "../../../hardware/ports.ts";
import { chipFiles } from "../../support/gpio-tree.ts";
import { kernelTree } from "../../support/kernel-tree.ts";

const header = (offset: number) => ({ chipLabel: null, offset });

const lineNumber = async (root: string, spec: LineSpec) => (await findSysfsLine(root, spec)).number;

describe("findSysfsLine", () => {
  // Bases as seen on Raspberry Pi kernels: 0 before 6.6; 512 with 6.6 on models 0 to 4 and 571 on the 5; 399 on another 5.
  it.each([
    { label: "pinctrl-bcm2835", base: 0, lines: 54 },
    { label: "pinctrl-bcm2711", base: 399, lines: 58 },
    { label: "pinctrl-bcm2835", base: 512, lines: 54 },
    { label: "pinctrl-rp1", base: 571, lines: 54 },
  ])("adds the base $base of $label", async (chip) => {
    const root = await kernelTree(chipFiles([chip, { label: "raspberrypi-exp-gpio", base: 700, lines: 8 }]));
    await expect(lineNumber(root, header(24))).resolves.toBe(chip.base + 24);
  });

  it("finds a chip by the label that the configuration names", async () => {
    const root = await kernelTree(
      chipFiles([
        { label: "209c000.gpio", base: 0, lines: 32 },
        { label: "20a0000.gpio", base: 32, lines: 32 },
      ]),
    );
    await expect(lineNumber(root, { chipLabel: "20a0000.gpio", offset: 10 })).resolves.toBe(42);
  });

  it("takes the only chip of an unknown board for its header", async () => {
    const root = await kernelTree(chipFiles([{ label: "sunxi", base: 100, lines: 32 }]));
    await expect(lineNumber(root, header(3))).resolves.toBe(103);
  });

  it("does not guess among several chips of an unknown board, and lists them", async () => {
    const root = await kernelTree(
      chipFiles([
        { label: "209c000.gpio", base: 0, lines: 32 },
        { label: "20a0000.gpio", base: 32, lines: 32 },
      ]),
    );
    await expect(lineNumber(root, header(3))).rejects.toMatchObject({
      code: "LINE_MISSING",
      message: expect.stringContaining("209c000.gpio, 20a0000.gpio"),
      remedy: expect.stringContaining("label"),
    });
  });

  it("does not guess between two chips of one label", async () => {
    const root = await kernelTree(
      chipFiles([
        { label: "pinctrl-rp1", base: 0, lines: 54 },
        { label: "pinctrl-rp1", base: 571, lines: 54 },
      ]),
    );
    await expect(lineNumber(root, header(3))).rejects.toMatchObject({ code: "LINE_MISSING" });
  });

  it("says which labels there are when the named one is not", async () => {
    const root = await kernelTree(chipFiles([{ label: "pinctrl-rp1", base: 571, lines: 54 }]));
    await expect(lineNumber(root, { chipLabel: "pinctrl-bcm2711", offset: 3 })).rejects.toMatchObject({
      code: "LINE_MISSING",
      place: "pinctrl-bcm2711 3",
      message: expect.stringContaining("pinctrl-rp1"),
    });
  });

  it.each([-1, 54, 1.5])("rejects line %d of a chip with 54", async (offset) => {
    const root = await kernelTree(chipFiles([{ label: "pinctrl-rp1", base: 571, lines: 54 }]));
    await expect(lineNumber(root, header(offset))).rejects.toMatchObject({
      code: "LINE_MISSING",
      message: expect.stringContaining("0 to 53"),
    });
  });

  it("says that a kernel has no sysfs GPIO", async () => {
    const root = await kernelTree({ "/sys/class/leds/led0": "" });
    await expect(lineNumber(root, header(3))).rejects.toMatchObject({
      code: "LINE_MISSING",
      remedy: expect.stringContaining("leave interface out of [gpio]"),
    });
  });
});

describe("listSysfsChips", () => {
  it("gives the chips by their base", async () => {
    const chips = [
      { label: "gpio-brcmstb@107d508500", base: 544, lines: 32 },
      { label: "pinctrl-rp1", base: 571, lines: 54 },
      { label: "gpio-brcmstb@107d517c00", base: 512, lines: 32 },
    ];
    const root = await kernelTree(chipFiles(chips));
    await expect(listSysfsChips(root)).resolves.toMatchObject(chips.toSorted((a, b) => a.base - b.base));
  });

  it("rejects a base that is no number", async () => {
    const files = chipFiles([{ label: "pinctrl-rp1", base: 571, lines: 54 }]);
    const root = await kernelTree({ ...files, "/sys/class/gpio/gpiochip571/base": "none\n" });
    await expect(listSysfsChips(root)).rejects.toMatchObject({ code: "MALFORMED" });
  });
});
