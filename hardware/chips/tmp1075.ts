// TMP1075: an LM75 with 12 bits, a 27.5 ms conversion and an identity register. Texas Instruments SBOS854.
// It leaves the limits and the alert pin alone.
import type { I2cDevice } from "../i2c.ts";
import type { ClimateSample } from "../ports.ts";
import { type Chip, hex, wrongDevice } from "./chip.ts";
import { firstConversion, lm75Sample } from "./lm75.ts";
import { word, wordWrite } from "./words.ts";

export { decode } from "./lm75.ts";

const TEMPERATURE = 0x00;
const CONFIGURATION = 0x01;
const DIE_ID = 0x0f;

const IDENTITY = 0x7500;
/** Bit 8 of the 16-bit configuration register. */
const SHUTDOWN = 0x0100;
/** Twice the 27.5 ms of a conversion, s. */
const FIRST_CONVERSION_SECONDS = 0.055;

async function identify(device: I2cDevice): Promise<string> {
  const identity = word(await device.readRegister(DIE_ID, 2));
  if (identity !== IDENTITY) throw wrongDevice(device.place, "TMP1075", IDENTITY, identity);
  const configuration = word(await device.readRegister(CONFIGURATION, 2));
  if ((configuration & SHUTDOWN) !== 0) await device.write(wordWrite(CONFIGURATION, configuration & ~SHUTDOWN));
  await firstConversion(device, word(await device.readRegister(TEMPERATURE, 2)), FIRST_CONVERSION_SECONDS);
  return `TMP1075, identity ${hex(identity)}`;
}

/** TMP1075 driver. */
export const tmp1075: Chip<ClimateSample> = {
  part: "TMP1075",
  identify,
  read: async (device) => lm75Sample(await device.readRegister(TEMPERATURE, 2), device.place),
};
