// INA226: supply voltage and the drop over a shunt, 16 bits, with identity registers. Texas Instruments SBOS547.
// The current is computed here from the drop; the chip's own calibration register is not used, for a reset clears it.
import { pause } from "../clock.ts";
import { HardwareError } from "../errors.ts";
import type { I2cDevice } from "../i2c.ts";
import type { SupplySample } from "../ports.ts";
import { type Chip, hex, wrongDevice } from "./chip.ts";
import { signedWord, word, wordWrite } from "./words.ts";

const CONFIGURATION = 0x00;
const SHUNT = 0x01;
const BUS = 0x02;
const MANUFACTURER_ID = 0xfe;
const DIE_ID = 0xff;

const MANUFACTURER = 0x5449;
const DIE = 0x2260;
/** Continuous, 1.1 ms conversions, 16 averages, 35 ms in all: a fan's current comes in pulses. */
const AVERAGING_CONFIGURATION = 0x4527;

/** Volts over the shunt: 2.5 µV a step in two's complement (data sheet, section "Shunt voltage register"). */
export function decodeShunt(bytes: Uint8Array): number {
  return signedWord(bytes) * 2.5e-6;
}

/** Volts at the load side: 1.25 mV a step, bit 15 is always zero (data sheet, section "Bus voltage register"). */
export function decodeBus(bytes: Uint8Array): number {
  return word(bytes) * 1.25e-3;
}

async function identify(device: I2cDevice): Promise<string> {
  const manufacturer = word(await device.readRegister(MANUFACTURER_ID, 2));
  if (manufacturer !== MANUFACTURER) throw wrongDevice(device.place, "INA226", MANUFACTURER, manufacturer);
  const die = word(await device.readRegister(DIE_ID, 2));
  if (die !== DIE) throw wrongDevice(device.place, "INA226", DIE, die);
  await device.write(wordWrite(CONFIGURATION, AVERAGING_CONFIGURATION));
  await pause(device.clock, 0.08);
  return `INA226, manufacturer ${hex(manufacturer)}, die ${hex(die)}`;
}

/** INA226 driver; `shuntOhms` is the resistor between IN+ and IN−. */
export function ina226(shuntOhms: number): Chip<SupplySample> {
  if (!(shuntOhms > 0 && shuntOhms < 100)) throw new RangeError(`a shunt has 0 to 100 Ω, not ${shuntOhms}`);
  return {
    part: "INA226",
    identify,
    read: async (device) => {
      const shunt = await device.readRegister(SHUNT, 2);
      const bus = await device.readRegister(BUS, 2);
      const steps = signedWord(shunt);
      if (steps === 32767 || steps === -32768) {
        throw new HardwareError("OUT_OF_RANGE", device.place, `${decodeShunt(shunt)} V over the shunt`);
      }
      if (word(bus) > 0x7fff) throw new HardwareError("OUT_OF_RANGE", device.place, `bus register ${hex(word(bus))}`);
      return { volts: decodeBus(bus), amperes: decodeShunt(shunt) / shuntOhms };
    },
  };
}
