// Which way to the GPIO lines: the character device where there is one and this machine can call it, sysfs otherwise, or what
// the configuration names. Chosen once, when the first line is asked for.
import { HardwareError } from "../errors.ts";
import type { Clock } from "../ports.ts";
import { characterDeviceGpio, gpioDevices } from "./character-device.ts";
import type { GpioInterface, GpioInterfaceName } from "./interface.ts";
import { canLoadKoffi, type KernelCalls } from "./kernel-calls.ts";
import { sysfsGpio } from "./sysfs.ts";
import type { OnoffModule } from "./sysfs-lines.ts";

export type GpioChoice = {
  readonly root: string;
  readonly clock: Clock;
  /** Null = whichever fits. */
  readonly wanted: GpioInterfaceName | null;
  readonly onoff: () => Promise<OnoffModule>;
  readonly kernelCalls: () => Promise<KernelCalls>;
};

/** Rejects with PACKAGE_MISSING when the interface that the configuration names cannot be had. */
export async function chooseGpio(choice: GpioChoice): Promise<GpioInterface> {
  const { root, clock, wanted, kernelCalls } = choice;
  if (wanted === "sysfs") return sysfsGpio(choice);
  if (wanted === null && (await gpioDevices(root)).length === 0) return sysfsGpio(choice);
  if (!canLoadKoffi()) {
    if (wanted === null) return sysfsGpio(choice);
    throw new HardwareError("PACKAGE_MISSING", "koffi", "it has no part for ARMv6", {
      remedy: 'Write interface = "sysfs" in the table [gpio].',
    });
  }
  try {
    return characterDeviceGpio({ root, clock, calls: await kernelCalls() });
  } catch (cause) {
    // Without the package the character device is out of reach, and sysfs does what is needed.
    if (wanted === null && cause instanceof HardwareError && cause.code === "PACKAGE_MISSING") return sysfsGpio(choice);
    throw cause;
  }
}
