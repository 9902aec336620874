// skeleton
import type { BusHealth, Clock, I2cHandle } from "./ports.ts";

/** One address on a bus, as a chip sees it: every call queued, retried and bounded in time by the bus. */
export interface I2cDevice {
  /** e.g. `i2c-1 0x48`. */
  readonly place: string;
  readonly clock: Clock;
  readRegister(register: number, length: number): Promise<Uint8Array>;
  write(bytes: Uint8Array): Promise<void>;
  read(length: number): Promise<Uint8Array>;
  /** Runs a sequence of calls to this address that no other sequence may cut into. */
  exclusive<T>(sequence: () => Promise<T>): Promise<T>;
}

export type I2cBusOptions = {
  readonly bus: number;
  readonly clock: Clock;
  readonly open: () => Promise<I2cHandle>;
  readonly attemptSeconds?: number;
  readonly budgetSeconds?: number;
  readonly retries?: number;
};

export class I2cBus {
  readonly place: string;
  constructor(options: I2cBusOptions) {
    this.place = `i2c-${options.bus}`;
  }
  device(_address: number): I2cDevice {
    throw new Error("to be filled in");
  }
  health(): BusHealth {
    throw new Error("to be filled in");
  }
  async close(): Promise<void> {}
}
