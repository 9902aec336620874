// SHT30, SHT31, SHT35: temperature and humidity with checksums. Sensirion data sheet "SHT3x-DIS".
// Single shots without clock stretching, for the bus belongs to others while the chip measures.
import { HardwareError } from "../errors.ts";
import type { ClimateSample } from "../ports.ts";
import { type Chip, hex, inRange } from "./chip.ts";
import { ask, askIdentity, checkedWords } from "./sensirion.ts";

/** Single shot, high repeatability, no clock stretching (table 9). */
const MEASURE = [0x24, 0x00] as const;
/** Longest high-repeatability measurement, 15.5 ms at the lowest supply (table 4). */
const MEASURE_SECONDS = 0.016;
const READ_STATUS = [0xf3, 0x2d] as const;

/** Temperature and humidity from the six bytes of a measurement (section "Conversion of signal output"); throws CRC. */
export function decode(bytes: Uint8Array, place = "SHT3x"): ClimateSample {
  return convert(checkedWords(bytes, place), place);
}

function convert([temperature, humidity]: readonly number[], place: string): ClimateSample {
  if (temperature === undefined || humidity === undefined) throw new HardwareError("IO", place, "two words expected");
  return { celsius: -45 + (175 * temperature) / 65535, humidityRatio: humidity / 65535 };
}

/** SHT3x driver. The data sheet gives no identity register: a status with the right checksum is the best evidence. */
export const sht3x: Chip<ClimateSample> = {
  part: "SHT3x",
  identify: async (device) => {
    const [status = 0] = await askIdentity(device, "SHT3x", READ_STATUS, 1);
    return `SHT3x (by checksum; it has no identity register), status ${hex(status)}`;
  },
  read: async (device) => {
    const sample = convert(await ask(device, MEASURE, MEASURE_SECONDS, 2), device.place);
    return { ...sample, celsius: inRange(sample.celsius, -40, 125, device.place) };
  },
};
