// GPIO through sysfs and the package `onoff`: for kernels and boards where the character device cannot be reached. It knows
// neither bias nor lost edges, and its edges are stamped by this program.
import type { Clock } from "../ports.ts";
import type { GpioInterface } from "./interface.ts";
import { findSysfsLine, GPIO_DIRECTORY, listSysfsChips } from "./sysfs-chips.ts";
import { type OnoffModule, openEdgeLine, openOutputLine } from "./sysfs-lines.ts";

export type SysfsOptions = {
  /** Put before every absolute path of the kernel. */
  readonly root: string;
  readonly clock: Clock;
  /** Loads the package; called when the first line is opened. */
  readonly onoff: () => Promise<OnoffModule>;
};

export function sysfsGpio({ root, clock, onoff }: SysfsOptions): GpioInterface {
  return {
    name: "sysfs",
    chips: () => listSysfsChips(root),
    find: async (spec) => {
      const line = await findSysfsLine(root, spec);
      return {
        key: String(line.number),
        place: line.place,
        openEdge: async () => openEdgeLine(await onoff(), line, clock),
        openOutput: async () => openOutputLine(await onoff(), line, clock),
        releaseFile: `${GPIO_DIRECTORY}/gpio${line.number}/value`,
      };
    },
  };
}
