// TMP117: 16 bits, ±0.1 °C, a conversion each second after power-on. Texas Instruments SNOSD82.
// Until the first conversion has ended its register holds −256 °C; that is never passed on as a temperature.
import { HardwareError } from "../errors.ts";
import type { I2cDevice } from "../i2c.ts";
import type { ClimateSample } from "../ports.ts";
import { type Chip, hex, inRange, wrongDevice } from "./chip.ts";
import { signedWord, word, wordWrite } from "./words.ts";

const TEMPERATURE = 0x00;
const CONFIGURATION = 0x01;
const DEVICE_ID = 0x0f;

/** Bits 11:0 of the identity; bits 15:12 are the die's revision. */
const IDENTITY = 0x117;
/** Bits 11:10 of the configuration: 01 is shutdown, 11 one shot, the others convert continuously. */
const NOT_CONTINUOUS = 0x0400;
/** Configuration after power-on: continuous, eight averages, one conversion a second. */
const DEFAULT_CONFIGURATION = 0x0220;
const NO_CONVERSION_CELSIUS = -256;

/** Degrees Celsius from the temperature register, 7.8125 m°C a step (data sheet, table 7-1). */
export function decode(bytes: Uint8Array): number {
  return signedWord(bytes) / 128;
}

async function identify(device: I2cDevice): Promise<string> {
  const identity = word(await device.readRegister(DEVICE_ID, 2));
  if ((identity & 0x0fff) !== IDENTITY) throw wrongDevice(device.place, "TMP117", IDENTITY, identity);
  const configuration = word(await device.readRegister(CONFIGURATION, 2));
  if ((configuration & NOT_CONTINUOUS) !== 0) await device.write(wordWrite(CONFIGURATION, DEFAULT_CONFIGURATION));
  return `TMP117, identity ${hex(identity)}`;
}

async function read(device: I2cDevice): Promise<ClimateSample> {
  const celsius = decode(await device.readRegister(TEMPERATURE, 2));
  if (celsius === NO_CONVERSION_CELSIUS) throw new HardwareError("NOT_READY", device.place);
  return { celsius: inRange(celsius, -55, 150, device.place), humidityRatio: null };
}

/** TMP117 driver. */
export const tmp117: Chip<ClimateSample> = { part: "TMP117", identify, read };
