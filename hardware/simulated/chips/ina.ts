// INA219 and INA226 supply monitors at register level (data sheets SBOS448 and SBOS547): shunt and bus voltage, and the current
// and power that the chip computes once its calibration register is set. Alert functions are not there.

import { type BusDevice, fromBytes, HeldConversion, pointerDevice, steps, word } from "./device.ts";

/** The supply at the chip: voltage at the load, and the voltage across the shunt. */
export type SupplyProbe = {
  readonly now: () => number;
  readonly busVolts: () => number;
  readonly shuntVolts: () => number;
};

type Sample = { readonly shunt: number; readonly bus: number };

/** Time of one INA219 conversion for a four-bit ADC field: 9 to 12 bits, or 12 bits averaged 2 to 128 times, s. */
function ina219AdcSeconds(field: number): number {
  if ((field & 0x08) !== 0) return 0.000532 * 2 ** (field & 0x07);
  return [0.000084, 0.000148, 0.000276, 0.000532][field & 0x03]!;
}

/** An INA219 that has just been powered: 32 V range, shunt range ±320 mV, continuous. */
export function ina219(probe: SupplyProbe): BusDevice {
  let configuration = 0x399f;
  let calibration = 0;
  let seen = 0;
  const take = (): Sample => {
    const range = 4000 << ((configuration >> 11) & 3);
    return {
      shunt: steps(probe.shuntVolts(), 10e-6, -range, range),
      bus: steps(probe.busVolts(), 0.004, 0, (configuration & 0x2000) !== 0 ? 8000 : 4000),
    };
  };
  const periodSeconds = (): number => ina219AdcSeconds(configuration >> 3) + ina219AdcSeconds(configuration >> 7);
  const conversion = new HeldConversion<Sample>(probe.now, take, periodSeconds(), periodSeconds());
  const current = (sample: Sample): number => Math.trunc((sample.shunt * calibration) / 4096);

  function get(register: number): readonly number[] {
    const sample = conversion.latest() ?? { shunt: 0, bus: 0 };
    switch (register) {
      case 0x00:
        return word(configuration);
      case 0x01:
        return word(sample.shunt);
      case 0x02: {
        const ready = conversion.count > seen ? 0x02 : 0x00;
        return word((sample.bus << 3) | ready);
      }
      case 0x03:
        seen = conversion.count;
        return word(Math.trunc((Math.abs(current(sample)) * sample.bus) / 5000));
      case 0x04:
        return word(Math.min(32767, Math.max(-32768, current(sample))));
      case 0x05:
        return word(calibration);
      default:
        return [0xff, 0xff];
    }
  }
  function set(register: number, bytes: readonly number[]): void {
    const value = fromBytes(bytes);
    // Bit 0 of the calibration register is not there.
    if (register === 0x05) calibration = value & 0xfffe;
    if (register !== 0x00) return;
    const reset = (value & 0x8000) !== 0;
    configuration = reset ? 0x399f : value & 0x3fff;
    if (reset) {
      calibration = 0;
      conversion.clear();
    }
    const mode = configuration & 0x07;
    if (mode === 0 || mode === 4) conversion.restart(Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY);
    else conversion.restart(periodSeconds(), mode > 4 ? periodSeconds() : Number.POSITIVE_INFINITY);
    seen = 0;
  }
  return pointerDevice({ get, set });
}

/** Conversion times of the CT fields, s, and the averages of the AVG field. */
const CONVERSION_SECONDS = [0.00014, 0.000204, 0.000332, 0.000588, 0.0011, 0.002116, 0.004156, 0.008244] as const;
const AVERAGES = [1, 4, 16, 64, 128, 256, 512, 1024] as const;

/** An INA226 that has just been powered. */
export function ina226(probe: SupplyProbe): BusDevice {
  let configuration = 0x4127;
  let calibration = 0;
  let mask = 0;
  let seen = 0;
  const take = (): Sample => ({
    shunt: steps(probe.shuntVolts(), 2.5e-6, -32768, 32767),
    bus: steps(probe.busVolts(), 0.00125, 0, 32767),
  });
  const periodSeconds = (): number =>
    AVERAGES[(configuration >> 9) & 7]! *
    (CONVERSION_SECONDS[(configuration >> 6) & 7]! + CONVERSION_SECONDS[(configuration >> 3) & 7]!);
  const conversion = new HeldConversion<Sample>(probe.now, take, periodSeconds(), periodSeconds());
  const current = (sample: Sample): number => Math.trunc((sample.shunt * calibration) / 2048);

  function get(register: number): readonly number[] {
    const sample = conversion.latest() ?? { shunt: 0, bus: 0 };
    switch (register) {
      case 0x00:
        return word(configuration);
      case 0x01:
        return word(sample.shunt);
      case 0x02:
        return word(sample.bus);
      case 0x03:
        return word(Math.trunc((Math.abs(current(sample)) * sample.bus) / 20000));
      case 0x04:
        return word(Math.min(32767, Math.max(-32768, current(sample))));
      case 0x05:
        return word(calibration);
      case 0x06: {
        const ready = conversion.count > seen ? 0x08 : 0x00;
        seen = conversion.count;
        return word((mask & ~0x08) | ready);
      }
      case 0xfe:
        return word(0x5449);
      case 0xff:
        return word(0x2260);
      default:
        return [0x00, 0x00];
    }
  }
  function set(register: number, bytes: readonly number[]): void {
    const value = fromBytes(bytes);
    if (register === 0x05) calibration = value & 0x7fff;
    if (register === 0x06) mask = value;
    if (register !== 0x00) return;
    const reset = (value & 0x8000) !== 0;
    configuration = reset ? 0x4127 : (value & 0x0fff) | 0x4000;
    if (reset) {
      calibration = 0;
      mask = 0;
      conversion.clear();
    }
    seen = 0;
    const mode = configuration & 0x07;
    if (mode === 0 || mode === 4) conversion.restart(Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY);
    else conversion.restart(periodSeconds(), mode >= 4 ? periodSeconds() : Number.POSITIVE_INFINITY);
  }
  return pointerDevice({ get, set });
}
