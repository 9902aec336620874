// ADS1115: four single-ended 16-bit inputs, here for the voltages of a directional detector. Texas Instruments SBAS444.
// One conversion per input and reading; it knows volts and nothing of watts.
import { pause } from "../clock.ts";
import { HardwareError } from "../errors.ts";
import type { I2cDevice } from "../i2c.ts";
import type { DriveSample } from "../ports.ts";
import { type Chip, hex } from "./chip.ts";
import { signedWord, word, wordWrite } from "./words.ts";

const CONVERSION = 0x00;
const CONFIGURATION = 0x01;
const LOW_THRESHOLD = 0x02;
const HIGH_THRESHOLD = 0x03;

/** Power-on thresholds; this driver never writes them, so they serve as evidence of the chip. */
const LOW_THRESHOLD_RESET = 0x8000;
const HIGH_THRESHOLD_RESET = 0x7fff;

/** Written: start a conversion. Read: no conversion is running. */
const START_OR_READY = 0x8000;
const FULL_SCALE_4096_MILLIVOLTS = 1 << 9;
const SINGLE_SHOT = 1 << 8;
const SAMPLES_128_PER_SECOND = 4 << 5;
const COMPARATOR_OFF = 3;

/** One conversion at 128 samples a second with the oscillator's 10 % tolerance, s. */
const CONVERSION_SECONDS = 0.0087;

/** Volts of one step at full scale ±4.096 V. */
const VOLTS_PER_STEP = 4.096 / 32768;

/** An input of the chip. */
export type Channel = 0 | 1 | 2 | 3;

/** Volts from the conversion register at full scale ±4.096 V: 125 µV a step (SBAS444). */
export function decode(bytes: Uint8Array): number {
  return signedWord(bytes) * VOLTS_PER_STEP;
}

/** The configuration word that starts one conversion of `channel` against ground (SBAS444, config register). */
export function configurationFor(channel: Channel): number {
  const against = (4 + channel) << 12;
  return START_OR_READY | against | FULL_SCALE_4096_MILLIVOLTS | SINGLE_SHOT | SAMPLES_128_PER_SECOND | COMPARATOR_OFF;
}

async function identify(device: I2cDevice): Promise<string> {
  const low = word(await device.readRegister(LOW_THRESHOLD, 2));
  const high = word(await device.readRegister(HIGH_THRESHOLD, 2));
  if (low !== LOW_THRESHOLD_RESET || high !== HIGH_THRESHOLD_RESET) {
    throw new HardwareError("WRONG_DEVICE", device.place, `thresholds are ${hex(low)} and ${hex(high)}`);
  }
  return "ADS1115 (by its thresholds; it has no identity register)";
}

async function convert(device: I2cDevice, channel: Channel): Promise<number> {
  const configuration = configurationFor(channel);
  await device.write(wordWrite(CONFIGURATION, configuration));
  for (let wait = 0; wait < 5; wait += 1) {
    await pause(device.clock, wait === 0 ? CONVERSION_SECONDS : 0.001);
    // Ready and still set up as written: a chip that was reset meanwhile would convert another input.
    if (word(await device.readRegister(CONFIGURATION, 2)) === configuration) {
      const bytes = await device.readRegister(CONVERSION, 2);
      const steps = signedWord(bytes);
      if (steps === 32767 || steps === -32768) {
        throw new HardwareError("OUT_OF_RANGE", device.place, `input ${channel} is beyond ±4.096 V`);
      }
      return decode(bytes);
    }
  }
  throw new HardwareError("NOT_READY", device.place, `input ${channel}`);
}

/** ADS1115 driver for a detector on one or two inputs. */
export function ads1115(forwardChannel: Channel, reflectedChannel: Channel | null): Chip<DriveSample> {
  if (forwardChannel === reflectedChannel) throw new RangeError(`input ${forwardChannel} cannot be both directions`);
  return {
    part: "ADS1115",
    identify,
    read: async (device) => ({
      forwardVolts: await convert(device, forwardChannel),
      reflectedVolts: reflectedChannel === null ? null : await convert(device, reflectedChannel),
    }),
  };
}
