// The native half of the package i2c-bus, behaving as the kernel does: an address belongs to an open file. The package's own
// source runs above it. Its device files are those of a tree on disk.
import * as fs from "node:fs";
import { join } from "node:path";
import type { I2cBusModule } from "../../hardware/i2c-handle.ts";
import { loadWith } from "./gpio-tree.ts";
import { systemError } from "./register-chip.ts";

type Done = (error: Error | null, ...values: unknown[]) => void;

export class NativeI2c {
  /** Files on which a read was tried although no address had been accepted on them. */
  readonly readsWithoutAddress: number[] = [];
  /** Addresses that a driver of the kernel holds, once. */
  readonly busyOnce = new Set<number>();
  /** What register 0 of each chip holds. */
  readonly chips = new Map([
    [0x48, [0x19, 0x00]],
    [0x49, [0xe7, 0x00]],
  ]);
  openFiles = 0;
  readonly #addressOf = new Map<number, number>();

  /** The package on device files below `root`. */
  module(root: string): I2cBusModule {
    const files = {
      ...fs,
      open: (path: string, flags: string, done: (error: Error | null, fd: number) => void) => {
        this.openFiles += 1;
        fs.open(join(root, path), flags, done);
      },
      close: (fd: number, done: (error: Error | null) => void) => {
        this.openFiles -= 1;
        this.#addressOf.delete(fd);
        fs.close(fd, done);
      },
      read: (fd: number, buffer: Buffer, _offset: number, length: number, _position: number, done: Done) =>
        this.#read(fd, buffer, length, done),
      write: (fd: number, _buffer: Buffer, _offset: number, length: number, _position: number, done: Done) =>
        this.#chipAt(fd) === undefined ? done(systemError("EREMOTEIO", "write")) : done(null, length),
    };
    const native = {
      setAddrAsync: (fd: number, address: number, _force: boolean, done: Done) => {
        if (this.busyOnce.delete(address)) return done(systemError("EBUSY", "setAddr"));
        this.#addressOf.set(fd, address);
        done(null);
      },
      readI2cBlockAsync: (fd: number, _command: number, length: number, buffer: Buffer, done: Done) =>
        this.#read(fd, buffer, length, done),
    };
    return loadWith("i2c-bus", { fs: files, bindings: () => native }) as I2cBusModule;
  }

  #chipAt(fd: number): readonly number[] | undefined {
    const address = this.#addressOf.get(fd);
    if (address === undefined) this.readsWithoutAddress.push(fd);
    return this.chips.get(address ?? -1);
  }

  #read(fd: number, buffer: Buffer, length: number, done: Done): void {
    const bytes = this.#chipAt(fd);
    if (bytes === undefined) {
      done(systemError("EREMOTEIO", "read"));
    } else {
      buffer.set(bytes.slice(0, length));
      done(null, length, buffer);
    }
  }
}
