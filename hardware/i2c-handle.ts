// One handle of the package `i2c-bus` as the drivers' port wants it. Only its asynchronous calls are used: an absent address
// can block for a third of a second. No retry, no deadline, no queue; `i2c.ts` adds those.
import type { I2cHandle } from "./ports.ts";

/** What is used of one bus of `i2c-bus`. */
export interface PromisifiedI2c {
  readI2cBlock(
    address: number,
    command: number,
    length: number,
    buffer: Buffer,
  ): Promise<{ readonly bytesRead: number; readonly buffer: Buffer }>;
  i2cRead(address: number, length: number, buffer: Buffer): Promise<{ readonly bytesRead: number }>;
  i2cWrite(address: number, length: number, buffer: Buffer): Promise<{ readonly bytesWritten: number }>;
  close(): Promise<void>;
}

/** What is used of the package `i2c-bus`. */
export interface I2cBusModule {
  openPromisified(bus: number): Promise<PromisifiedI2c>;
}

/** Opens a bus. The package opens the device file with the first transfer, so errors of the bus come with that. */
export async function openI2cHandle(module: I2cBusModule, bus: number): Promise<I2cHandle> {
  const opened = await module.openPromisified(bus);
  return {
    readRegister: async (address, register, length) => {
      const buffer = Buffer.alloc(length);
      const { bytesRead } = await opened.readI2cBlock(address, register, length, buffer);
      return new Uint8Array(buffer.subarray(0, bytesRead));
    },
    write: async (address, bytes) => {
      const { bytesWritten } = await opened.i2cWrite(address, bytes.length, Buffer.from(bytes));
      if (bytesWritten !== bytes.length) throw new Error(`${bytesWritten} of ${bytes.length} bytes written`);
    },
    read: async (address, length) => {
      const buffer = Buffer.alloc(length);
      const { bytesRead } = await opened.i2cRead(address, length, buffer);
      return new Uint8Array(buffer.subarray(0, bytesRead));
    },
    close: () => opened.close(),
  };
}
