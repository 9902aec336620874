// INA219: supply voltage and the drop over a shunt. Texas Instruments SBOS448.
// The current is computed here from the drop; the chip's own calibration register is not used, for a reset clears it.
import { pause } from "../clock.ts";
import { HardwareError } from "../errors.ts";
import type { I2cDevice } from "../i2c.ts";
import type { SupplySample } from "../ports.ts";
import { type Chip, hex } from "./chip.ts";
import { signedWord, word, wordWrite } from "./words.ts";

const CONFIGURATION = 0x00;
const SHUNT = 0x01;
const BUS = 0x02;

const RESET = 0x8000;
/** Configuration after a reset: 32 V, ±320 mV, 12 bits, continuous. */
const RESET_CONFIGURATION = 0x399f;
/** As after a reset, but each value averaged over 128 samples, 68 ms: a fan's current comes in pulses. */
const AVERAGING_CONFIGURATION = 0x3fff;
/** Bits that read as zero: the reset bit and the unused one. */
const ALWAYS_ZERO = 0xc000;

const SHUNT_LIMIT_VOLTS = 0.32;

/** Volts over the shunt: 10 µV a step in two's complement (data sheet, section 8.6.3.1). */
export function decodeShunt(bytes: Uint8Array): number {
  return signedWord(bytes) * 10e-6;
}

/** Volts at the load side: bits 15:3, 4 mV a step; bits 1 and 0 are flags (data sheet, section 8.6.3.2). */
export function decodeBus(bytes: Uint8Array): number {
  return (word(bytes) >> 3) * 4e-3;
}

/** The chip has no identity register: that a reset brings its own start-up word is the best evidence. */
async function identify(device: I2cDevice): Promise<string> {
  const before = word(await device.readRegister(CONFIGURATION, 2));
  if ((before & ALWAYS_ZERO) !== 0) throw new HardwareError("WRONG_DEVICE", device.place, hex(before));
  await device.write(wordWrite(CONFIGURATION, RESET));
  await pause(device.clock, 0.001);
  const after = word(await device.readRegister(CONFIGURATION, 2));
  if (after !== RESET_CONFIGURATION) {
    throw new HardwareError(
      "WRONG_DEVICE",
      device.place,
      `${hex(after)} after a reset, not ${hex(RESET_CONFIGURATION)}`,
    );
  }
  await device.write(wordWrite(CONFIGURATION, AVERAGING_CONFIGURATION));
  await pause(device.clock, 0.15);
  return "INA219 (by its start-up word; it has no identity register)";
}

/** INA219 driver; `shuntOhms` is the resistor between IN+ and IN−. */
export function ina219(shuntOhms: number): Chip<SupplySample> {
  if (!(shuntOhms > 0 && shuntOhms < 100)) throw new RangeError(`a shunt has 0 to 100 Ω, not ${shuntOhms}`);
  return {
    part: "INA219",
    identify,
    read: async (device) => {
      const shuntVolts = decodeShunt(await device.readRegister(SHUNT, 2));
      if (Math.abs(shuntVolts) >= SHUNT_LIMIT_VOLTS) {
        throw new HardwareError("OUT_OF_RANGE", device.place, `${shuntVolts} V over the shunt`);
      }
      return { volts: decodeBus(await device.readRegister(BUS, 2)), amperes: shuntVolts / shuntOhms };
    },
  };
}
