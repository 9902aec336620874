// The closed list of what can go wrong between a wire and a number.
// A code is stable: it stands in the log, in metrics and on the page. It never decides anything.

/** Every hardware error code with the words an operator reads. */
export const HARDWARE_ERRORS = {
  NACK: "the chip did not answer",
  TIMEOUT: "no answer before the deadline",
  BUS_STUCK: "the I2C bus is held low",
  BUS_MISSING: "the I2C bus does not exist",
  WRONG_DEVICE: "another chip answers at this address",
  CRC: "the checksum of the reading is wrong",
  NOT_READY: "the chip has no conversion yet",
  POWER_ON_VALUE: "the chip returned its power-on value",
  OUT_OF_RANGE: "the reading is outside what the chip can measure",
  NO_EDGES: "no pulses on the tach line",
  IRREGULAR: "the pulses are too irregular to be a speed",
  LINE_MISSING: "the GPIO line does not exist",
  LINE_BUSY: "another program holds the GPIO line",
  LINE_SETTINGS: "the GPIO line did not take its settings",
  READBACK: "the relay line does not read back what was written",
  PERMISSION: "this user may not open the device",
  FILE_MISSING: "the kernel file does not exist",
  MALFORMED: "the kernel file does not hold what it should",
  CLOSED: "the device is closed",
  IO: "the system reported an input/output error",
} as const;

/** A code of the closed list above. */
export type HardwareErrorCode = keyof typeof HARDWARE_ERRORS;

/** An error at a known place with a code of the closed list; `place` is e.g. `i2c-1 0x48`. */
export class HardwareError extends Error {
  readonly code: HardwareErrorCode;
  readonly place: string;

  constructor(code: HardwareErrorCode, place: string, detail?: string, options?: ErrorOptions) {
    super(`${place}: ${HARDWARE_ERRORS[code]}${detail === undefined ? "" : ` (${detail})`}`, options);
    this.name = "HardwareError";
    this.code = code;
    this.place = place;
  }
}
