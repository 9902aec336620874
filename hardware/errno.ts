// Turns an error of the system (errno) into a HardwareError of the closed list. It never retries and never swallows.
// The meanings on a bus follow the Linux kernel's Documentation/i2c/fault-codes.rst.
import { HardwareError, type HardwareErrorCode } from "./errors.ts";

/** What the failed call was working on; one errno means different things on a bus, a line and a file. */
export type ErrnoContext = "i2c" | "line" | "file";

const I2C: Readonly<Record<string, HardwareErrorCode>> = {
  ENXIO: "NACK",
  EREMOTEIO: "NACK",
  ETIMEDOUT: "TIMEOUT",
  EBUSY: "BUS_STUCK",
  EBADMSG: "CRC",
  ENOENT: "BUS_MISSING",
  ENODEV: "BUS_MISSING",
};

const LINE: Readonly<Record<string, HardwareErrorCode>> = {
  EBUSY: "LINE_BUSY",
  EINVAL: "LINE_MISSING",
  ENOENT: "LINE_MISSING",
  ENODEV: "LINE_MISSING",
};

const FILE: Readonly<Record<string, HardwareErrorCode>> = {
  ENOENT: "FILE_MISSING",
  ENOTDIR: "FILE_MISSING",
  EISDIR: "FILE_MISSING",
  ENODEV: "FILE_MISSING",
  ENXIO: "NACK",
  EREMOTEIO: "NACK",
  ETIMEDOUT: "TIMEOUT",
  EBUSY: "BUS_STUCK",
  EAGAIN: "NOT_READY",
  ENODATA: "NOT_READY",
  EBADMSG: "CRC",
};

const TABLES: Readonly<Record<ErrnoContext, Readonly<Record<string, HardwareErrorCode>>>> = {
  i2c: I2C,
  line: LINE,
  file: FILE,
};

/** The same failure as a HardwareError at `place`; one that is a HardwareError already stays as it is. */
export function fromErrno(cause: unknown, place: string, context: ErrnoContext): HardwareError {
  if (cause instanceof HardwareError) return cause;
  const { code: errno, syscall } = (cause ?? {}) as { code?: unknown; syscall?: unknown };
  if (typeof errno !== "string") return new HardwareError("IO", place, describe(cause), { cause });
  if (errno === "EACCES" || errno === "EPERM" || errno === "EROFS") {
    return new HardwareError("PERMISSION", place, errno, { cause });
  }
  // i2c-bus names the call that selects the address; there EBUSY means a bound driver, elsewhere a bus that stays busy.
  if (context === "i2c" && errno === "EBUSY" && syscall === "setAddr") {
    return new HardwareError("ADDRESS_BUSY", place, errno, { cause });
  }
  return new HardwareError(TABLES[context][errno] ?? "IO", place, errno, { cause });
}

function describe(cause: unknown): string {
  return cause instanceof Error ? cause.message : String(cause);
}
