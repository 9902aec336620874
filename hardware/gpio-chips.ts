// Which number the kernel's sysfs gives to a line of a chip. Since Linux 6.6 the numbers of a board's chips begin at a base
// that differs from kernel to kernel (399, 512, 571 …), so the chip is found by its label. It opens nothing.
import { readdir, readFile } from "node:fs/promises";
import { fromErrno } from "./errno.ts";
import { HardwareError } from "./errors.ts";
import { placeOfLine } from "./place.ts";
import type { LineSpec } from "./ports.ts";

/** Labels of the chips that carry the 40-pin header: Raspberry Pi 5; 4 and 400; the ones before. */
export const HEADER_CHIP_LABELS = ["pinctrl-rp1", "pinctrl-bcm2711", "pinctrl-bcm2835"] as const;

/** One GPIO chip as `/sys/class/gpio/gpiochip*` describes it. */
export type GpioChip = { readonly label: string; readonly base: number; readonly lines: number };

/** The directory of sysfs GPIO. */
export const GPIO_DIRECTORY = "/sys/class/gpio";

/** All GPIO chips, by base. Rejects with LINE_MISSING where the kernel has no sysfs GPIO. */
export async function listGpioChips(root: string): Promise<readonly GpioChip[]> {
  const directory = `${root}${GPIO_DIRECTORY}`;
  let names: string[];
  try {
    names = (await readdir(directory)).filter((name) => name.startsWith("gpiochip"));
  } catch (cause) {
    const error = fromErrno(cause, GPIO_DIRECTORY, "line");
    if (error.code !== "LINE_MISSING") throw error;
    throw new HardwareError("LINE_MISSING", GPIO_DIRECTORY, "this kernel offers no sysfs GPIO", {
      cause,
      remedy: "Run a kernel with CONFIG_GPIO_SYSFS, as Raspberry Pi OS and Debian ship it.",
    });
  }
  const chips = await Promise.all(names.map((name) => readChip(directory, name)));
  return chips.toSorted((a, b) => a.base - b.base);
}

/** The sysfs number of a line. Rejects with LINE_MISSING, saying which chips there are, when it is not one certain line. */
export async function lineNumber(root: string, spec: LineSpec): Promise<number> {
  const place = placeOfLine(spec);
  const chips = await listGpioChips(root);
  const chip = chooseChip(chips, spec.chipLabel, place);
  if (!Number.isInteger(spec.offset) || spec.offset < 0 || spec.offset >= chip.lines) {
    throw new HardwareError("LINE_MISSING", place, `${chip.label} has lines 0 to ${chip.lines - 1}`);
  }
  return chip.base + spec.offset;
}

function chooseChip(chips: readonly GpioChip[], label: string | null, place: string): GpioChip {
  const there = chips.length === 0 ? "there are no GPIO chips" : `chips here: ${chips.map((c) => c.label).join(", ")}`;
  const header: readonly string[] = HEADER_CHIP_LABELS;
  const named = chips.filter((chip) => (label === null ? header.includes(chip.label) : chip.label === label));
  const candidates = label === null && named.length === 0 ? chips : named;
  const [only, another] = candidates;
  if (only === undefined) throw new HardwareError("LINE_MISSING", place, there);
  if (another !== undefined) {
    throw new HardwareError("LINE_MISSING", place, `more than one chip fits; ${there}`, {
      remedy: "Name the chip's label in the configuration.",
    });
  }
  return only;
}

async function readChip(directory: string, name: string): Promise<GpioChip> {
  const [label, base, lines] = await Promise.all(
    ["label", "base", "ngpio"].map(async (file) => {
      const path = `${directory}/${name}/${file}`;
      try {
        return (await readFile(path, "utf8")).trim();
      } catch (cause) {
        throw fromErrno(cause, `${GPIO_DIRECTORY}/${name}/${file}`, "file");
      }
    }),
  );
  const chip = { label: label ?? "", base: Number(base), lines: Number(lines) };
  if (!Number.isInteger(chip.base) || !Number.isInteger(chip.lines)) {
    throw new HardwareError("MALFORMED", `${GPIO_DIRECTORY}/${name}`, `base ${base}, ngpio ${lines}`);
  }
  return chip;
}
