// What either way to the kernel's GPIO lines offers the board, types only: the character device and sysfs both do.
import type { Bias, EdgeLine, LineChip, LineSpec, OutputLine } from "../ports.ts";

/** The two ways, by the kernel's names for them (CONFIG_GPIO_CDEV, CONFIG_GPIO_SYSFS). */
export type GpioInterfaceName = "cdev" | "sysfs";

/** A line that was found and is not yet opened. */
export interface FreeLine {
  /** Same line, same key, however it was written; for one interface. */
  readonly key: string;
  readonly place: string;
  /** Input with falling edges. Rejects with HardwareError. */
  openEdge(bias: Bias): Promise<EdgeLine>;
  /** Output, low from the first moment. Rejects with HardwareError. */
  openOutput(): Promise<OutputLine>;
  /** The file by which a shell can release this output once its process has died; null where there is no such file. */
  readonly releaseFile: string | null;
}

export interface GpioInterface {
  readonly name: GpioInterfaceName;
  /** Rejects with LINE_MISSING when it is not one certain line. */
  find(spec: LineSpec): Promise<FreeLine>;
  /** All chips. Rejects with LINE_MISSING where there is none. */
  chips(): Promise<readonly LineChip[]>;
}
