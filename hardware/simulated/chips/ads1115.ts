// An ADS1115 at register level (data sheet SBAS444): four inputs, programmable gain, single-shot and continuous conversion,
// the busy flag in the configuration. The comparator's thresholds are kept but compare nothing.

import { type BusDevice, fromBytes, pointerDevice, steps, word } from "./device.ts";

const POWER_ON_CONFIGURATION = 0x8583;
const FULL_SCALE_VOLTS = [6.144, 4.096, 2.048, 1.024, 0.512, 0.256, 0.256, 0.256] as const;
const SAMPLES_PER_SECOND = [8, 16, 32, 64, 128, 250, 475, 860] as const;
/** Positive and negative input of the eight multiplexer settings; null = ground. */
const INPUTS: readonly (readonly [number, number | null])[] = [
  [0, 1],
  [0, 3],
  [1, 3],
  [2, 3],
  [0, null],
  [1, null],
  [2, null],
  [3, null],
];

/** What hangs on the four inputs. */
export type VoltageProbe = {
  readonly now: () => number;
  /** Voltage of one input now, noise included. */
  readonly volts: (input: number) => number;
};

/** An ADS1115 that has just been powered: asleep, conversion register zero. */
export function ads1115(probe: VoltageProbe): BusDevice {
  let configuration = POWER_ON_CONFIGURATION & 0x7fff;
  let result = 0;
  let readyAtSeconds: number | null = null;
  const thresholds = new Map<number, number>([
    [0x02, 0x8000],
    [0x03, 0x7fff],
  ]);
  const periodSeconds = (): number => 1 / SAMPLES_PER_SECOND[(configuration >> 5) & 7]!;
  const singleShot = (): boolean => (configuration & 0x0100) !== 0;

  function settle(): void {
    if (readyAtSeconds === null || probe.now() + 1e-9 < readyAtSeconds) return;
    const [positive, negative] = INPUTS[(configuration >> 12) & 7]!;
    const volts = probe.volts(positive) - (negative === null ? 0 : probe.volts(negative));
    const step = FULL_SCALE_VOLTS[(configuration >> 9) & 7]! / 32768;
    result = steps(volts, step, -32768, 32767);
    if (singleShot()) readyAtSeconds = null;
    else {
      const period = periodSeconds();
      readyAtSeconds += Math.ceil((probe.now() + 1e-9 - readyAtSeconds) / period) * period;
    }
  }
  function get(register: number): readonly number[] {
    settle();
    switch (register) {
      case 0x00:
        return word(result);
      case 0x01:
        return word(configuration | (singleShot() && readyAtSeconds === null ? 0x8000 : 0));
      default:
        return word(thresholds.get(register & 0x03) ?? 0);
    }
  }
  function set(register: number, bytes: readonly number[]): void {
    const value = fromBytes(bytes);
    if (thresholds.has(register)) thresholds.set(register, value);
    if (register !== 0x01) return;
    settle();
    configuration = value & 0x7fff;
    const start = (value & 0x8000) !== 0 || !singleShot();
    if (start) readyAtSeconds = probe.now() + periodSeconds();
  }
  return pointerDevice({ get, set });
}
