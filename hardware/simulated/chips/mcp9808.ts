// An MCP9808 at register level (data sheet DS25095): thirteen-bit temperature below three flags, identity registers,
// selectable resolution, shutdown. The alert output is not there.

import { type BusDevice, fromBytes, HeldConversion, type Probe, pointerDevice, steps, word } from "./device.ts";

/** Steps of the resolution register, and how long a conversion takes at each, s. */
const RESOLUTION_CELSIUS = [0.5, 0.25, 0.125, 0.0625] as const;
const CONVERSION_SECONDS = [0.03, 0.065, 0.13, 0.25] as const;
const SIXTEENTH = 0.0625;

/** An MCP9808 that has just been powered. */
export function mcp9808(probe: Probe): BusDevice {
  let resolution = 3;
  let configuration = 0x0000;
  const limits = new Map<number, number>([
    [0x02, 0],
    [0x03, 0],
    [0x04, 0],
  ]);
  const take = (): number => {
    const step = RESOLUTION_CELSIUS[resolution]!;
    return steps(probe.celsius(), step, -256 / step, 256 / step - 1) * (step / SIXTEENTH);
  };
  const conversion = new HeldConversion(probe.now, take, CONVERSION_SECONDS[3], CONVERSION_SECONDS[3]);

  function begin(): void {
    const asleep = (configuration & 0x0100) !== 0;
    const seconds = asleep ? Number.POSITIVE_INFINITY : CONVERSION_SECONDS[resolution]!;
    conversion.restart(seconds, seconds);
  }
  /** Flags above the reading: at or above critical, above upper, below lower. */
  function ambient(): number {
    const sixteenths = conversion.latest();
    if (sixteenths === null) return 0;
    const signed = (register: number): number => {
      const raw = limits.get(register)! & 0x1fff;
      return raw >= 0x1000 ? raw - 0x2000 : raw;
    };
    const critical = sixteenths >= signed(0x04) ? 0x8000 : 0;
    const upper = sixteenths > signed(0x02) ? 0x4000 : 0;
    const lower = sixteenths < signed(0x03) ? 0x2000 : 0;
    return critical | upper | lower | (sixteenths & 0x1fff);
  }
  function get(register: number): readonly number[] {
    switch (register) {
      case 0x01:
        return word(configuration);
      case 0x02:
      case 0x03:
      case 0x04:
        return word(limits.get(register)!);
      case 0x05:
        return word(ambient());
      case 0x06:
        return word(0x0054);
      case 0x07:
        return word(0x0400);
      case 0x08:
        return [resolution];
      default:
        return [0x00, 0x00];
    }
  }
  function set(register: number, bytes: readonly number[]): void {
    if (register === 0x01) {
      configuration = fromBytes(bytes) & 0x07ff;
      begin();
    } else if (limits.has(register)) limits.set(register, fromBytes(bytes) & 0x1ffc);
    else if (register === 0x08) {
      resolution = (bytes[0] ?? 0) & 0x03;
      begin();
    }
  }
  return pointerDevice({ get, set });
}
