// LM75 and its family: LM75A/B, STLM75, DS75, TMP75, TMP105 and others with the same four registers, 9 to 12 bits.
// The family has no identity register, so `identify` can only find the answer plausible, and says so.
import { pause } from "../clock.ts";
import { HardwareError } from "../errors.ts";
import type { I2cDevice } from "../i2c.ts";
import type { ClimateSample } from "../ports.ts";
import { type Chip, hex, inRange } from "./chip.ts";
import { signedWord, word } from "./words.ts";

const TEMPERATURE = 0x00;
const CONFIGURATION = 0x01;
const HYSTERESIS = 0x02;
const OVERTEMPERATURE = 0x03;

const SHUTDOWN = 0x01;

/** The slowest of the family converts in up to this long, s (LM75A: 300 ms from power-on to the first conversion). */
const FIRST_CONVERSION_SECONDS = 0.35;

/** The low four bits are zero in every register of the family: 9 to 12 bits stand at the top of the word. */
const UNUSED = 0x000f;

/**
 * Degrees Celsius from the temperature register: the word's upper byte counts whole degrees, in two's complement, so one
 * step of the 16-bit word is 1/256 °C whatever the resolution (STLM75 data sheet, table 3; TMP75 data sheet, table 5).
 */
export function decode(bytes: Uint8Array): number {
  return signedWord(bytes) / 256;
}

/** The family's temperature as a sample; rejects words that no member can send. */
export function lm75Sample(bytes: Uint8Array, place: string): ClimateSample {
  if ((word(bytes) & UNUSED) !== 0) {
    throw new HardwareError("OUT_OF_RANGE", place, `${hex(word(bytes))} has bits set that the chip sends as zero`);
  }
  return { celsius: inRange(decode(bytes), -55, 125, place), humidityRatio: null };
}

/**
 * Plausible: temperature and both limits have their unused bits zero, the hysteresis lies at or below the limit, and the
 * registers are not all one value. A chip asleep is woken.
 */
async function identify(device: I2cDevice): Promise<string> {
  const [configuration = 0] = await device.readRegister(CONFIGURATION, 1);
  const temperature = await device.readRegister(TEMPERATURE, 2);
  const hysteresis = await device.readRegister(HYSTERESIS, 2);
  const limit = await device.readRegister(OVERTEMPERATURE, 2);
  const words = [temperature, hysteresis, limit].map((bytes) => word(bytes));
  const isPlausible =
    words.every((value) => (value & UNUSED) === 0) &&
    new Set(words).size > 1 &&
    signedWord(hysteresis) <= signedWord(limit) &&
    Math.abs(decode(limit)) <= 128;
  if (!isPlausible) {
    throw new HardwareError("WRONG_DEVICE", device.place, `registers 0, 2, 3 hold ${words.map(hex).join(", ")}`);
  }
  if ((configuration & SHUTDOWN) !== 0) {
    await device.write(Uint8Array.of(CONFIGURATION, configuration & ~SHUTDOWN));
  }
  await firstConversion(device, word(temperature), FIRST_CONVERSION_SECONDS);
  return `LM75 family (plausible; it has no identity register), limit ${decode(limit)} °C`;
}

/**
 * The register holds 0 °C from power-on to the end of the first conversion, and there is no flag that tells it from frost:
 * so what reads zero when the chip is identified is given the time that a conversion takes.
 */
export async function firstConversion(device: I2cDevice, temperature: number, seconds: number): Promise<void> {
  if (temperature === 0) await pause(device.clock, seconds);
}

/** LM75 family driver. */
export const lm75: Chip<ClimateSample> = {
  part: "LM75",
  identify,
  read: async (device) => lm75Sample(await device.readRegister(TEMPERATURE, 2), device.place),
};
