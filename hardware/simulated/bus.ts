// A simulated I2C adapter: chips at addresses, no acknowledge where there is none, and wires that can be disturbed.
// It answers as the kernel's driver would, errors included; queue, retries and deadlines are the real layer's.

import type { Clock, I2cHandle } from "../ports.ts";
import { type CallGate, systemError } from "./calls.ts";
import type { BusDevice } from "./chips/device.ts";
import type { FaultScript } from "./faults.ts";
import type { Random } from "./random.ts";

/** What a bus needs of the world around it. */
export type BusOptions = {
  readonly number: number;
  readonly clock: Clock;
  readonly gate: CallGate;
  readonly faults: FaultScript;
  readonly random: Random;
  /** True while radio frequency is on the wires. */
  readonly transmitting: () => boolean;
};

/** A stuck bus: the adapter's driver gives up after this long, s (the default of Linux adapters). */
const ADAPTER_TIMEOUT_SECONDS = 1;

type Fitted = { readonly part: string; readonly device: BusDevice };

/** One adapter with its chips. */
export class SimulatedBus {
  readonly #options: BusOptions;
  readonly #fitted = new Map<number, Fitted>();

  constructor(options: BusOptions) {
    this.#options = options;
  }

  /** Solders a chip in. Throws when the address is taken. */
  solder(address: number, part: string, device: BusDevice): void {
    const other = this.#fitted.get(address);
    if (other !== undefined)
      throw new RangeError(`i2c-${this.#options.number} 0x${address.toString(16)} is taken by ${other.part}`);
    this.#fitted.set(address, { part, device });
  }

  /** A handle of its own, as each open of the device file gives. */
  open(): I2cHandle {
    let closed = false;
    const transfer = async (syscall: string, address: number, act: (device: BusDevice) => Uint8Array | null) => {
      this.#options.gate.pass(syscall);
      if (closed) throw systemError("EBADF", syscall);
      return this.#transfer(syscall, address, act);
    };
    return {
      readRegister: (address, register, length) =>
        transfer("readI2cBlock", address, (device) => {
          device.write(Uint8Array.of(register));
          return device.read(length);
        }),
      write: async (address, bytes) => {
        await transfer("i2cWrite", address, (device) => {
          device.write(bytes);
          return new Uint8Array(0);
        });
      },
      read: (address, length) => transfer("i2cRead", address, (device) => device.read(length)),
      close: async () => {
        closed = true;
      },
    };
  }

  async #transfer(
    syscall: string,
    address: number,
    act: (device: BusDevice) => Uint8Array | null,
  ): Promise<Uint8Array> {
    const { faults, clock, random, number, transmitting } = this.#options;
    if (faults.find("bus stuck", (fault) => fault.bus === number) !== null) {
      await new Promise<void>((resolve) => {
        clock.after(ADAPTER_TIMEOUT_SECONDS, resolve);
      });
      throw systemError("ETIMEDOUT", syscall);
    }
    const fitted = this.#fitted.get(address);
    if (fitted === undefined || faults.ofPart("chip silent", fitted.part) !== null)
      throw systemError("EREMOTEIO", syscall);
    const upset = transmitting() ? faults.find("RF upset") : null;
    const upsetNow = upset !== null && random.unit() < upset.probability;
    if (upsetNow && upset.effect === "silent") throw systemError("EREMOTEIO", syscall);

    const bytes = act(fitted.device);
    if (bytes === null) throw systemError("EREMOTEIO", syscall);
    if (upsetNow || faults.ofPart("garbage bytes", fitted.part) !== null) return bytes.map(() => random.below(256));
    if (bytes.length > 0 && faults.ofPart("checksum wrong", fitted.part) !== null) {
      // The third byte of a Sensirion frame is its checksum; elsewhere the last byte of the reading is hit.
      const at = Math.min(2, bytes.length - 1);
      return bytes.map((byte, place) => (place === at ? byte ^ 0x24 : byte));
    }
    return bytes;
  }
}
