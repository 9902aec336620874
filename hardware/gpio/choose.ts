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
  /** Hears why sysfs was taken although there is a character device. */
  readonly onFallback: (why: string) => void;
};

/** Rejects with PACKAGE_MISSING when the interface that the configuration names cannot be had. */
export async function chooseGpio(choice: GpioChoice): Promise<GpioInterface> {
  const { root, clock, wanted, kernelCalls, onFallback } = choice;
  const fallBack = (why: string): GpioInterface => {
    onFallback(`lines go through sysfs, which neither stamps edges nor counts lost ones: ${why}`);
    return sysfsGpio(choice);
  };
  if (wanted === "sysfs") return sysfsGpio(choice);
  if (wanted === null && (await gpioDevices(root)).length === 0) return sysfsGpio(choice);
  if (!canLoadKoffi()) {
    const why = "koffi has no part for ARMv6";
    if (wanted === null) return fallBack(why);
    throw new HardwareError("PACKAGE_MISSING", "koffi", why, {
      remedy: 'Write interface = "sysfs" in the table [gpio].',
    });
  }
  try {
    return characterDeviceGpio({ root, clock, calls: await kernelCalls() });
  } catch (cause) {
    // Without the package the character device is out of reach, and sysfs does what is needed.
    if (wanted === null && cause instanceof HardwareError && cause.code === "PACKAGE_MISSING") {
      return fallBack(cause.message);
    }
    throw cause;
  }
}
