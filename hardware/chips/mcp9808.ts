// MCP9808: 13 bits, ±0.25 °C, four conversions a second. Microchip DS25095.
// It leaves the limits and the alert pin alone, and never trusts the three alert flags as temperature bits.
import { HardwareError } from "../errors.ts";
import type { I2cDevice } from "../i2c.ts";
import type { ClimateSample } from "../ports.ts";
import { type Chip, hex, inRange, wrongDevice } from "./chip.ts";
import { word, wordWrite } from "./words.ts";

const CONFIGURATION = 0x01;
const TEMPERATURE = 0x05;
const MANUFACTURER_ID = 0x06;
const DEVICE_ID = 0x07;

const MANUFACTURER = 0x0054;
/** Upper byte of the device register; the lower one is the revision. */
const DEVICE = 0x04;
const SHUTDOWN = 0x0100;
const ABOVE_UPPER = 0x4000;
const BELOW_LOWER = 0x2000;

/**
 * Degrees Celsius from the ambient register: three alert flags, a sign, then 1/16 °C steps in two's complement.
 * The data sheet's example 5-1 subtracts the wrong way round below zero (it computes 256 minus the reading, which turns
 * −25 °C into +25 °C); figure and text of register 5-4 give the two's complement used here.
 */
export function decode(bytes: Uint8Array): number {
  return ((word(bytes) << 19) >> 19) / 16;
}

async function identify(device: I2cDevice): Promise<string> {
  const manufacturer = word(await device.readRegister(MANUFACTURER_ID, 2));
  if (manufacturer !== MANUFACTURER) throw wrongDevice(device.place, "MCP9808", MANUFACTURER, manufacturer);
  const identity = word(await device.readRegister(DEVICE_ID, 2));
  if (identity >> 8 !== DEVICE) throw wrongDevice(device.place, "MCP9808", DEVICE << 8, identity);
  const configuration = word(await device.readRegister(CONFIGURATION, 2));
  if ((configuration & SHUTDOWN) !== 0) await device.write(wordWrite(CONFIGURATION, configuration & ~SHUTDOWN));
  return `MCP9808, manufacturer ${hex(manufacturer)}, device ${hex(identity)}`;
}

async function read(device: I2cDevice): Promise<ClimateSample> {
  const bytes = await device.readRegister(TEMPERATURE, 2);
  // A line that floats high reads FFFFh, which would pass for −0.0625 °C; no temperature is above and below at once.
  if ((word(bytes) & ABOVE_UPPER) !== 0 && (word(bytes) & BELOW_LOWER) !== 0) {
    throw new HardwareError("OUT_OF_RANGE", device.place, `${hex(word(bytes))} is above and below its limits at once`);
  }
  // The register is all zero from power-on to the end of the first conversion (register 5-4). A true 0 °C against the limits
  // that the chip starts with, which are 0 °C too, sets the flag "at or above critical".
  if (word(bytes) === 0) throw new HardwareError("NOT_READY", device.place);
  return { celsius: inRange(decode(bytes), -40, 125, device.place), humidityRatio: null };
}

/** MCP9808 driver. */
export const mcp9808: Chip<ClimateSample> = { part: "MCP9808", identify, read };
