// The GPIO chips as sysfs shows them. Since Linux 6.6 the numbers of a board's lines begin at a base that differs from kernel
// to kernel (399, 512, 571 …), so a line's number is the base of its chip plus its offset. It opens nothing.
import { readdir, readFile } from "node:fs/promises";
import { fromErrno } from "../errno.ts";
import { HardwareError } from "../errors.ts";
import type { LineChip, LineSpec } from "../ports.ts";
import { type FoundLine, findLine } from "./find-line.ts";

/** One GPIO chip as `/sys/class/gpio/gpiochip*` describes it. */
export type SysfsChip = LineChip & { readonly base: number };

/** The directory of sysfs GPIO. */
export const GPIO_DIRECTORY = "/sys/class/gpio";

/** All GPIO chips, by base. Rejects with LINE_MISSING where the kernel has no sysfs GPIO. */
export async function listSysfsChips(root: string): Promise<readonly SysfsChip[]> {
  const directory = `${root}${GPIO_DIRECTORY}`;
  let names: string[];
  try {
    names = (await readdir(directory)).filter((name) => name.startsWith("gpiochip"));
  } catch (cause) {
    const error = fromErrno(cause, GPIO_DIRECTORY, "line");
    if (error.code !== "LINE_MISSING") throw error;
    throw new HardwareError("LINE_MISSING", GPIO_DIRECTORY, "this kernel offers no sysfs GPIO", {
      cause,
      remedy:
        "Is this the board? A machine without /dev/gpiochip* and /sys/class/gpio has no lines: `emberwire check --simulated` looks at a config elsewhere. " +
        "Where /dev/gpiochip* is there, leave interface out of [gpio].",
    });
  }
  const chips = await Promise.all(names.map((name) => readChip(directory, name)));
  return chips.toSorted((a, b) => a.base - b.base);
}

/** The line with its sysfs number. Rejects with LINE_MISSING when it is not one certain line. */
export async function findSysfsLine(
  root: string,
  spec: LineSpec,
): Promise<FoundLine<SysfsChip> & { readonly number: number }> {
  const found = await findLine(await listSysfsChips(root), spec);
  return { ...found, number: found.chip.base + found.offset };
}

async function readChip(directory: string, name: string): Promise<SysfsChip> {
  const [label = "", base, lines] = await Promise.all(
    ["label", "base", "ngpio"].map(async (file) => {
      const path = `${directory}/${name}/${file}`;
      try {
        return (await readFile(path, "utf8")).trim();
      } catch (cause) {
        throw fromErrno(cause, `${GPIO_DIRECTORY}/${name}/${file}`, "file");
      }
    }),
  );
  const chip = { name, label, base: Number(base), lines: Number(lines) };
  if (!Number.isInteger(chip.base) || !Number.isInteger(chip.lines)) {
    throw new HardwareError("MALFORMED", `${GPIO_DIRECTORY}/${name}`, `base ${base}, ngpio ${lines}`);
  }
  return { ...chip, names: () => namesInDeviceTree(`${directory}/${name}/device/of_node/gpio-line-names`) };
}

/** sysfs has no names of its own; a device tree has them as texts that end with a zero byte. Without one there are none. */
async function namesInDeviceTree(path: string): Promise<readonly (string | null)[]> {
  try {
    const names = (await readFile(path, "utf8")).split("\0");
    return names.slice(0, -1).map((name) => (name === "" ? null : name));
  } catch {
    return [];
  }
}
