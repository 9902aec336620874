// The system's errors by place, the remedies, and the words of every code.
import { describe, expect, it } from "vitest";
import { fromErrno } from "../../hardware/errno.ts";
import { HARDWARE_ERRORS, HARDWARE_REMEDIES, HardwareError } from "../../hardware/errors.ts";
import { systemError } from "../support/register-chip.ts";

describe("fromErrno", () => {
  // Linux kernel, Documentation/i2c/fault-codes.rst: ENXIO no device at an address, EREMOTEIO (in use by many adapters) the
  // same, ETIMEDOUT an operation that took too long, EBUSY a bus that stayed busy, EBADMSG a wrong checksum.
  it.each([
    ["i2c", "ENXIO", "NACK"],
    ["i2c", "EREMOTEIO", "NACK"],
    ["i2c", "ETIMEDOUT", "TIMEOUT"],
    ["i2c", "EBUSY", "BUS_STUCK"],
    ["i2c", "EBADMSG", "CRC"],
    ["i2c", "ENOENT", "BUS_MISSING"],
    ["i2c", "EACCES", "PERMISSION"],
    ["i2c", "EPERM", "PERMISSION"],
    ["i2c", "EIO", "IO"],
    ["i2c", "ESHUTDOWN", "IO"],
    ["line", "EBUSY", "LINE_BUSY"],
    ["line", "EINVAL", "LINE_MISSING"],
    ["line", "ENOENT", "LINE_MISSING"],
    ["line", "EROFS", "PERMISSION"],
    ["file", "ENOENT", "FILE_MISSING"],
    ["file", "ENXIO", "NACK"],
    ["file", "EAGAIN", "NOT_READY"],
    ["file", "EACCES", "PERMISSION"],
  ] as const)("on %s makes %s %s", (context, errno, code) => {
    const cause = systemError(errno);
    const error = fromErrno(cause, "somewhere", context);
    expect(error).toMatchObject({ code, place: "somewhere", cause });
    expect(error.message).toContain(errno);
  });

  it("tells a driver that holds the address from a bus that stays busy", () => {
    expect(fromErrno(systemError("EBUSY", "setAddr"), "i2c-1 0x48", "i2c").code).toBe("ADDRESS_BUSY");
  });

  it("leaves a HardwareError as it is", () => {
    const error = new HardwareError("CRC", "i2c-1 0x44");
    expect(fromErrno(error, "elsewhere", "file")).toBe(error);
  });

  it.each([new Error("plain"), "text", undefined, null, { code: 7 }])("makes IO of %s", (cause) => {
    expect(fromErrno(cause, "somewhere", "line").code).toBe("IO");
  });
});

describe("HardwareError", () => {
  it.each(Object.keys(HARDWARE_ERRORS) as (keyof typeof HARDWARE_ERRORS)[])(
    "%s says what is wrong and what to do",
    (code) => {
      const error = new HardwareError(code, "i2c-1 0x48", "detail");
      expect(error.message).toBe(`i2c-1 0x48: ${HARDWARE_ERRORS[code]} (detail)`);
      expect(error.remedy).toBe(HARDWARE_REMEDIES[code]);
      expect(error.remedy).toMatch(/^[A-Z].*\.$/);
    },
  );

  it("carries a better remedy where more is known", () => {
    expect(new HardwareError("IO", "x", undefined, { remedy: "Do this." }).remedy).toBe("Do this.");
  });
});
