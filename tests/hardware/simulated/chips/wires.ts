// What the chips' tests share: a clock moved by hand, and the two transfers that a master makes. No assertions here.
import type { BusDevice } from "../../../../hardware/simulated/chips/device.ts";

/** Time and temperature as the test sets them. */
export class Bench {
  seconds = 100;
  degrees = 25;
  humidity = 0.5;
  readonly now = (): number => this.seconds;
  readonly celsius = (): number => this.degrees;
  readonly humidityRatio = (): number => this.humidity;
}

/** Register read: pointer write, then `length` bytes. */
export function bytesOf(device: BusDevice, register: number, length: number): number[] {
  device.write(Uint8Array.of(register));
  const bytes = device.read(length);
  return bytes === null ? [] : [...bytes];
}

/** A 16-bit register, most significant byte first. */
export function wordOf(device: BusDevice, register: number): number {
  const [high = 0, low = 0] = bytesOf(device, register, 2);
  return (high << 8) | low;
}

/** Writes a 16-bit register. */
export function setWord(device: BusDevice, register: number, value: number): void {
  device.write(Uint8Array.of(register, value >> 8, value & 0xff));
}
