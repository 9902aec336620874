// What every chip driver is: two functions over a device. `fitChip` makes a part of the feedpoint out of one, with its
// identity checked before the first reading and again after every failure. It never caches a sample.
import { withDeadline } from "../clock.ts";
import { HardwareError } from "../errors.ts";
import type { I2cDevice } from "../i2c.ts";
import type { Part } from "../ports.ts";

/** A kind of chip. Both functions reject with HardwareError at the device's place. */
export interface Chip<Sample> {
  /** The name on the chip, e.g. `TMP117`. */
  readonly part: string;
  /** Resolves to what the chip said of itself; rejects with WRONG_DEVICE when another one answers. */
  identify(device: I2cDevice): Promise<string>;
  read(device: I2cDevice): Promise<Sample>;
}

/** Longest reading or identification in all, s; well below the one-second cycle. */
const CHIP_SECONDS = 0.7;

/**
 * A chip at its place in the feedpoint. `read` identifies first when the chip has not yet been identified or when its
 * last call failed: what answers after a failure may be another chip, or the same one fresh from a reset.
 */
export function fitChip<Sample>(chip: Chip<Sample>, name: string, device: I2cDevice): Part<Sample> {
  let identified = false;
  const bounded = <T>(sequence: () => Promise<T>): Promise<T> =>
    withDeadline(device.clock, CHIP_SECONDS, device.place, device.exclusive(sequence));
  const identify = async (): Promise<string> => {
    identified = false;
    const identity = await chip.identify(device);
    identified = true;
    return identity;
  };
  return {
    name,
    part: chip.part,
    place: device.place,
    identify: () => bounded(identify),
    read: () =>
      bounded(async () => {
        try {
          if (!identified) await identify();
          return await chip.read(device);
        } catch (cause) {
          identified = false;
          throw cause;
        }
      }),
  };
}

/** The temperature when the chip can measure it; rejects what lies outside its range. */
export function inRange(celsius: number, lowest: number, highest: number, place: string): number {
  if (celsius >= lowest && celsius <= highest) return celsius;
  throw new HardwareError("OUT_OF_RANGE", place, `${celsius} °C, the chip measures ${lowest} to ${highest} °C`);
}

/** A complaint about an identity, with both values in hexadecimal. */
export function wrongDevice(place: string, part: string, expected: number, got: number): HardwareError {
  return new HardwareError("WRONG_DEVICE", place, `${part} has identity ${hex(expected)}, this one ${hex(got)}`);
}

/** Sixteen bits as printed in data sheets, e.g. `0117h`. */
export function hex(word: number): string {
  return `${word.toString(16).toUpperCase().padStart(4, "0")}h`;
}
