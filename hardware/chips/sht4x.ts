// SHT40, SHT41, SHT43, SHT45: temperature and humidity with checksums and a serial number. Sensirion data sheet "SHT4x".
// It never switches the chip's heater on.
import { HardwareError } from "../errors.ts";
import type { ClimateSample } from "../ports.ts";
import { type Chip, inRange } from "./chip.ts";
import { ask, askIdentity, checkedWords } from "./sensirion.ts";

/** Measure with high precision (table "Overview of I2C commands"). */
const MEASURE = [0xfd] as const;
/** Longest high-precision measurement, 8.3 ms (table "Timing specifications"). */
const MEASURE_SECONDS = 0.009;
const READ_SERIAL = [0x89] as const;

/**
 * Temperature and humidity from the six bytes of a measurement (section "Conversion of signal output"); throws CRC.
 * The humidity scale runs from −6 % to 119 %; the data sheet tells to crop it to 0–100 %.
 */
export function decode(bytes: Uint8Array, place = "SHT4x"): ClimateSample {
  return convert(checkedWords(bytes, place), place);
}

function convert([temperature, humidity]: readonly number[], place: string): ClimateSample {
  if (temperature === undefined || humidity === undefined) throw new HardwareError("IO", place, "two words expected");
  const ratio = -0.06 + (1.25 * humidity) / 65535;
  return { celsius: -45 + (175 * temperature) / 65535, humidityRatio: Math.min(1, Math.max(0, ratio)) };
}

/** SHT4x driver; it identifies itself by a serial number with checksums. */
export const sht4x: Chip<ClimateSample> = {
  part: "SHT4x",
  identify: async (device) => {
    const words = await askIdentity(device, "SHT4x", READ_SERIAL, 2);
    const serial = words.map((half) => half.toString(16).toUpperCase().padStart(4, "0")).join("");
    return `SHT4x, serial ${serial}`;
  },
  read: async (device) => {
    const sample = convert(await ask(device, MEASURE, MEASURE_SECONDS, 2), device.place);
    return { ...sample, celsius: inRange(sample.celsius, -40, 125, device.place) };
  },
};
