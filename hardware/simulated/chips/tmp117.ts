// A TMP117 at register level (data sheet SNOSD82D): 7.8125 m°C steps, continuous, shutdown and one-shot modes, data-ready flag,
// device identity. The limit registers and the EEPROM are kept but alert and write nothing.

import { type BusDevice, fromBytes, HeldConversion, type Probe, pointerDevice, steps, word } from "./device.ts";

const TEMPERATURE = 0x00;
const CONFIGURATION = 0x01;
const POWER_ON_CONFIGURATION = 0x0220;
const DATA_READY = 1 << 13;
const SOFT_RESET = 1 << 1;
const LSB_CELSIUS = 0.0078125;
/** The register before the first conversion: −256 °C. */
const POWER_ON_TEMPERATURE = 0x8000;
/** One active conversion, s; the averages of the AVG field; the standby cycle of the CONV field, s. */
const CONVERSION_SECONDS = 0.0155;
const AVERAGES = [1, 8, 32, 64] as const;
const CYCLE_SECONDS = [0.0155, 0.125, 0.25, 0.5, 1, 4, 8, 16] as const;

/** A TMP117 that has just been powered. */
export function tmp117(probe: Probe): BusDevice {
  const take = (): number => steps(probe.celsius(), LSB_CELSIUS, -32767, 32767);
  const conversion = new HeldConversion(probe.now, take, 8 * CONVERSION_SECONDS, 1);
  let configuration = POWER_ON_CONFIGURATION;
  let offset = 0;
  let seen = 0;
  const others = new Map<number, number>([
    [0x02, 0x6000],
    [0x03, 0x8000],
    [0x04, 0x0000],
    [0x05, 0x0000],
    [0x06, 0x0000],
    [0x08, 0x0000],
    [0x0f, 0x0117],
  ]);

  function begin(): void {
    const mode = (configuration >> 10) & 3;
    const active = AVERAGES[(configuration >> 5) & 3]! * CONVERSION_SECONDS;
    const cycle = Math.max(active, CYCLE_SECONDS[(configuration >> 7) & 7]!);
    seen = 0;
    if (mode === 1) conversion.restart(Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY);
    else conversion.restart(active, mode === 3 ? Number.POSITIVE_INFINITY : cycle);
  }

  function get(register: number): readonly number[] {
    if (register === TEMPERATURE) {
      const held = conversion.latest();
      seen = conversion.count;
      return word(held === null ? POWER_ON_TEMPERATURE : held + offset);
    }
    if (register === CONFIGURATION) {
      const ready = conversion.count > seen ? DATA_READY : 0;
      // Reading the register clears the flag; a finished one-shot has gone to shutdown.
      if (ready !== 0) conversion.latest();
      seen = conversion.count;
      const oneShotDone = ((configuration >> 10) & 3) === 3 && seen > 0;
      return word((oneShotDone ? (configuration & ~0x0c00) | 0x0400 : configuration) | ready);
    }
    if (register === 0x07) return word(offset);
    return word(others.get(register) ?? 0x0000);
  }

  function set(register: number, bytes: readonly number[]): void {
    const value = fromBytes(bytes);
    if (register === 0x07) offset = value >= 0x8000 ? value - 0x10000 : value;
    else if (register === 0x02 || register === 0x03 || register === 0x04) others.set(register, value);
    else if (register === CONFIGURATION && (value & SOFT_RESET) !== 0) {
      configuration = POWER_ON_CONFIGURATION;
      offset = 0;
      conversion.clear();
      begin();
    } else if (register === CONFIGURATION) {
      configuration = value & 0x0ffc;
      begin();
    }
  }
  return pointerDevice({ get, set });
}
