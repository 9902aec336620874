// From number, pin or name to one certain line, on the chips of real boards with the bases of real kernels; through sysfs on
// files and through the character device's own words.
import { describe, expect, it } from "vitest";
import { characterDeviceGpio } from "../../../hardware/gpio/character-device.ts";
import { findSysfsLine } from "../../../hardware/gpio/sysfs-chips.ts";
import type { LineSpec } from "../../../hardware/ports.ts";
import { GpioKernel } from "../../support/gpio-kernel.ts";
import { chipFiles, type TreeChip } from "../../support/gpio-tree.ts";
import { kernelTree } from "../../support/kernel-tree.ts";
import { ManualClock } from "../../support/manual-clock.ts";

type BoardChip = TreeChip & { readonly names?: Readonly<Record<number, string>> };

/** Chips with labels, bases and some names as boards show them. Bases: 0 before Linux 6.6; 399, 512 and 571 as seen since. */
const BOARDS: Readonly<Record<string, readonly BoardChip[]>> = {
  "Zero, Linux 6.1": [{ label: "pinctrl-bcm2835", base: 0, lines: 54, names: { 2: "SDA1", 17: "GPIO17" } }],
  "3, Linux 6.6": [
    { label: "pinctrl-bcm2835", base: 512, lines: 54, names: { 17: "GPIO17" } },
    { label: "raspberrypi-exp-gpio", base: 566, lines: 8, names: { 0: "BT_ON" } },
  ],
  "4, Linux 6.6": [
    { label: "raspberrypi-exp-gpio", base: 504, lines: 8, names: { 0: "BT_ON" } },
    { label: "pinctrl-bcm2711", base: 399, lines: 58, names: { 17: "GPIO17", 42: "RGMII_MDC" } },
  ],
  "5, Linux 6.6": [
    { label: "gpio-brcmstb@107d508500", base: 512, lines: 32 },
    { label: "pinctrl-rp1", base: 571, lines: 54, names: { 17: "GPIO17" } },
  ],
};

/** The line as `LABEL OFFSET`, and as sysfs numbers it, found by each interface. */
async function found(chips: readonly BoardChip[], spec: LineSpec) {
  const names = chips.flatMap(({ base, lines, names = {} }) => {
    const list = Array.from({ length: lines }, (_, offset) => `${names[offset] ?? ""}\0`).join("");
    return [[`/sys/class/gpio/gpiochip${base}/device/of_node/gpio-line-names`, list]];
  });
  const devices = chips.map((_, index) => [`/dev/gpiochip${index}`, ""]);
  const root = await kernelTree({ ...chipFiles(chips), ...Object.fromEntries([...names, ...devices]) });
  const clock = new ManualClock();
  const kernel = new GpioKernel(
    root,
    chips.map((chip, index) => ({ ...chip, device: `gpiochip${index}` })),
    () => clock.monotonicSeconds(),
  );
  const device = await characterDeviceGpio({ root, clock, calls: kernel.calls }).find(spec);
  const sysfs = await findSysfsLine(root, spec);
  expect(kernel.openFiles).toBe(0);
  expect(device.key).toBe(`gpiochip${chips.findIndex(({ label }) => label === sysfs.chip.label)} ${sysfs.offset}`);
  expect(device.releaseFile).toBe(`/sys/class/gpio/gpio${sysfs.number}/direction`);
  return { line: `${sysfs.chip.label} ${sysfs.offset}`, number: sysfs.number };
}

describe.each(Object.entries(BOARDS))("on a Raspberry Pi %s", (_board, chips) => {
  const header = chips.find(({ label }) => label.startsWith("pinctrl"))!;

  it.each<[string, LineSpec, number]>([
    ["its number", { chipLabel: null, offset: 17 }, 17],
    ["its pin", { headerPin: 11 }, 17],
    ["its name", { chipLabel: null, name: "GPIO17" }, 17],
    ["a name that this kernel does not use", { chipLabel: null, name: "GPIO2" }, 2],
    ["the last pin", { headerPin: 40 }, 21],
    ["number and chip", { chipLabel: header.label, offset: 24 }, 24],
  ])("finds a header line by %s", async (_way, spec, offset) => {
    await expect(found(chips, spec)).resolves.toEqual({
      line: `${header.label} ${offset}`,
      number: header.base + offset,
    });
  });

  it.each<[string, LineSpec, RegExp]>([
    ["a pin with ground", { headerPin: 6 }, /pin 6.*carries ground/],
    ["a pin with 5 V", { headerPin: 2 }, /carries 5 V/],
    ["a pin that no header has", { headerPin: 41 }, /pins 1 to 40/],
    ["a name that nothing has", { chipLabel: null, name: "FAN" }, /line "FAN".*chips here: /],
    ["a GPIO that the header does not carry", { chipLabel: null, name: "GPIO28" }, /names here: |no line has a name/],
    ["a line beyond the chip's last", { chipLabel: null, offset: 99 }, /has lines 0 to/],
  ])("refuses %s", async (_what, spec, words) => {
    await expect(found(chips, spec)).rejects.toMatchObject({
      code: "LINE_MISSING",
      message: expect.stringMatching(words),
    });
  });
});

describe("on another board", () => {
  const lone: readonly BoardChip[] = [{ label: "300b000.pinctrl", base: 0, lines: 32, names: { 6: "PIN_11" } }];
  const twins: readonly BoardChip[] = [
    { label: "a.gpio", base: 0, lines: 8, names: { 3: "FAN" } },
    { label: "b.gpio", base: 8, lines: 8, names: { 4: "FAN" } },
  ];

  it("counts no pins, for it does not know the header", async () => {
    await expect(found(lone, { headerPin: 11 })).rejects.toMatchObject({
      code: "LINE_MISSING",
      message: expect.stringContaining("300b000.pinctrl"),
      remedy: expect.stringContaining("name"),
    });
  });

  it("takes no GPIO17 for line 17", async () => {
    await expect(found(lone, { chipLabel: null, name: "GPIO17" })).rejects.toMatchObject({ code: "LINE_MISSING" });
  });

  it("finds the names that its kernel gives", async () => {
    await expect(found(lone, { chipLabel: null, name: "PIN_11" })).resolves.toMatchObject({ number: 6 });
  });

  it("does not guess between two lines of one name, unless the chip is named", async () => {
    await expect(found(twins, { chipLabel: null, name: "FAN" })).rejects.toMatchObject({
      message: expect.stringContaining("a.gpio 3, b.gpio 4"),
    });
    await expect(found(twins, { chipLabel: "b.gpio", name: "FAN" })).resolves.toMatchObject({ number: 12 });
  });
});
