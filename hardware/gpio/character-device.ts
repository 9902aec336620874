// GPIO through the kernel's character device: chips found by label, lines held under this program's name. The kernel gives a
// line free when the process dies, whatever level it then has; the unit's release step sees to the level.
import { readdir } from "node:fs/promises";
import { fromErrno } from "../errno.ts";
import { HardwareError } from "../errors.ts";
import type { Clock, LineChip } from "../ports.ts";
import { CharacterEdgeLine } from "./character-edges.ts";
import { CharacterOutputLine } from "./character-output.ts";
import { findLine } from "./find-line.ts";
import type { FreeLine, GpioInterface } from "./interface.ts";
import type { KernelCalls } from "./kernel-calls.ts";
import type { Chip } from "./line-request.ts";
import { findSysfsLine, GPIO_DIRECTORY } from "./sysfs-chips.ts";
import { decodeChipInfo, decodeLineInfo, encodeLineInfo, IOCTL, SIZE } from "./uapi.ts";

/** Where the kernel puts its devices. */
const DEVICES = "/dev";

export type CharacterDeviceOptions = {
  /** Put before every absolute path of the kernel. */
  readonly root: string;
  readonly clock: Clock;
  readonly calls: KernelCalls;
};

/** The names of all character devices of GPIO chips, e.g. `gpiochip0`; none where the kernel has none. */
export async function gpioDevices(root: string): Promise<readonly string[]> {
  try {
    return (await readdir(`${root}${DEVICES}`)).filter((name) => /^gpiochip\d+$/.test(name)).toSorted();
  } catch {
    return [];
  }
}

export function characterDeviceGpio({ root, clock, calls }: CharacterDeviceOptions): GpioInterface {
  return {
    name: "cdev",
    chips: () => listChips(root, calls),
    find: async (spec) => {
      const { chip, offset, place } = await findLine(await listChips(root, calls), spec);
      const line = { chip, offset, place, root, calls };
      return {
        key: `${chip.name} ${offset}`,
        place,
        openEdge: async (bias) => CharacterEdgeLine.open(line, bias, clock),
        openOutput: async () => CharacterOutputLine.open(line),
        releaseFile: await releaseFile(root, chip.label, offset),
      } satisfies FreeLine;
    },
  };
}

/** Every chip once, though some systems give one of them a second device under an older number. */
async function listChips(root: string, calls: KernelCalls): Promise<readonly (Chip & LineChip)[]> {
  const devices = await gpioDevices(root);
  if (devices.length === 0) throw new HardwareError("LINE_MISSING", `${DEVICES}/gpiochip*`, "there is none");
  const chips = new Map<string, Chip & LineChip>();
  for (const device of devices) {
    const path = `${DEVICES}/${device}`;
    const info = withChip(root, path, calls, (file) => {
      const bytes = new Uint8Array(SIZE.chipInfo);
      calls.ioctl(file, IOCTL.GET_CHIPINFO, bytes);
      return decodeChipInfo(bytes);
    });
    if (chips.has(info.name)) continue;
    chips.set(info.name, {
      ...info,
      path,
      names: async () =>
        withChip(root, path, calls, (file) =>
          Array.from({ length: info.lines }, (_, offset) => {
            const bytes = encodeLineInfo(offset);
            calls.ioctl(file, IOCTL.GET_LINEINFO, bytes);
            return decodeLineInfo(bytes).name;
          }),
        ),
    });
  }
  return [...chips.values()];
}

function withChip<T>(root: string, path: string, calls: KernelCalls, ask: (file: number) => T): T {
  try {
    const file = calls.open(`${root}${path}`);
    try {
      return ask(file);
    } finally {
      calls.close(file);
    }
  } catch (cause) {
    throw fromErrno(cause, path, "line");
  }
}

/** A dead process holds the line no more, so a shell can take it through sysfs, where the kernel has that. */
async function releaseFile(root: string, chipLabel: string, offset: number): Promise<string | null> {
  try {
    const { number } = await findSysfsLine(root, { chipLabel, offset });
    return `${GPIO_DIRECTORY}/gpio${number}/direction`;
  } catch {
    return null;
  }
}
