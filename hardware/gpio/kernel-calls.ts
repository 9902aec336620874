// The few calls of the C library that Node does not have, through `koffi`: ioctl(2), a read(2) that never waits. Nothing here
// can hang on a pin of the processor's own: the kernel answers from a register.
import { closeSync, constants, openSync } from "node:fs";
import { machine, constants as system } from "node:os";
import { getSystemErrorName } from "node:util";
import { HardwareError } from "../errors.ts";

/** The calls, each throwing what Node's own file calls would: an Error with `code` and `syscall`. Tests give a kernel of their own. */
export interface KernelCalls {
  open(path: string): number;
  /** `data` goes to the kernel and comes back changed. */
  ioctl(file: number, request: number, data: Uint8Array): void;
  /** Bytes that wait, at most the array's length; 0 when nothing waits. */
  read(file: number, into: Uint8Array): number;
  /** From now on a read returns at once. */
  neverWait(file: number): void;
  close(file: number): void;
}

/** What is used of the package `koffi`. */
export interface KoffiModule {
  load(path: string): { func(definition: string): (...args: unknown[]) => number };
  errno(): number;
}

const { errno: errnos } = system;

/** fcntl(2) on Linux. */
const F_SETFL = 4;

/**
 * koffi's ready-made part for 32-bit ARM is built for ARMv7; the first boards and the first Zero are ARMv6 and would be stopped
 * in the middle of loading it, so they are not asked to.
 */
export function canLoadKoffi(architecture: string = process.arch, model: string = machine()): boolean {
  return architecture !== "arm" || !/^armv[1-6]/.test(model);
}

/** @throws HardwareError PACKAGE_MISSING when the C library cannot be reached */
export function kernelCalls(koffi: KoffiModule): KernelCalls {
  const calls = bind(koffi);
  const checked = (result: number, syscall: string): number => {
    if (result >= 0) return result;
    const errno = koffi.errno();
    const code = getSystemErrorName(-errno);
    throw Object.assign(new Error(`${code}, ${syscall}`), { errno: -errno, code, syscall });
  };
  return {
    open: (path) => openSync(path, constants.O_RDWR),
    ioctl: (file, request, data) => {
      checked(calls.ioctl(file, request, "void *", data), "ioctl");
    },
    read: (file, into) => {
      const length = calls.read(file, into, into.byteLength);
      // The usual answer, fifty times a second: it costs no exception.
      return length < 0 && koffi.errno() === errnos.EAGAIN ? 0 : checked(length, "read");
    },
    neverWait: (file) => {
      checked(calls.fcntl(file, F_SETFL, "int", constants.O_NONBLOCK), "fcntl");
    },
    close: (file) => closeSync(file),
  };
}

function bind(koffi: KoffiModule) {
  try {
    const library = koffi.load("libc.so.6");
    return {
      ioctl: library.func("int ioctl(int file, unsigned long request, ...)"),
      fcntl: library.func("int fcntl(int file, int command, ...)"),
      read: library.func("long read(int file, void *into, size_t length)"),
    };
  } catch (cause) {
    const detail = cause instanceof Error ? cause.message : String(cause);
    throw new HardwareError("PACKAGE_MISSING", "koffi", detail, { cause });
  }
}
