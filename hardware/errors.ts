// The closed list of what can go wrong between a wire and a number.
// A code is stable: it stands in the log, in metrics and on the page. It never decides anything.

/** Every hardware error code with the words an operator reads. */
export const HARDWARE_ERRORS = {
  NACK: "the chip did not answer",
  TIMEOUT: "no answer before the deadline",
  BUS_STUCK: "the I2C bus is held low",
  BUS_MISSING: "the I2C bus does not exist",
  ADDRESS_BUSY: "a driver of the kernel holds this address",
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
  PACKAGE_MISSING: "the package that drives this hardware cannot be loaded",
  IO: "the system reported an input/output error",
} as const;

/** A code of the closed list above. */
export type HardwareErrorCode = keyof typeof HARDWARE_ERRORS;

/** What to do about each code: one sentence an operator can act on. */
export const HARDWARE_REMEDIES: Readonly<Record<HardwareErrorCode, string>> = {
  NACK: "Check the chip's power, its address straps and both bus wires; `i2cdetect -y BUS` lists who answers.",
  TIMEOUT: "Look for a broken or shorted wire, a missing pull-up, or a chip that stretches the clock.",
  BUS_STUCK:
    "Take the power off the sensors for a moment; if it returns, slow the bus down and shorten or shield the cable.",
  BUS_MISSING:
    "Enable I2C: on a Raspberry Pi put `dtparam=i2c_arm=on` into /boot/firmware/config.txt and reboot; if it stays away, `sudo modprobe i2c-dev` (the package loads it at every boot).",
  ADDRESS_BUSY:
    "Read this chip through its hwmon file instead, or take its driver off (`dtoverlay` or `delete_device`).",
  WRONG_DEVICE:
    "Compare the chip's marking and its address straps with the configuration; where they agree, its wires are disturbed: shorten or shield the cable.",
  CRC: "Something disturbs the wires: shorten or shield the cable, add a ferrite, lower the bus clock.",
  NOT_READY: "Wait a second; if it stays, the chip was reset by a weak supply or never left its sleep.",
  POWER_ON_VALUE: "The chip lost its supply during the conversion: check its supply wire and, on 1-Wire, the pull-up.",
  OUT_OF_RANGE: "Check the sensor and its wiring: a broken input often reads as an end of the scale.",
  NO_EDGES: "Check that the fan turns, that its tach wire is on this line, and that the pull-up goes to 3.3 V.",
  IRREGULAR: "Check the tach wire's pull-up and shield, and whether the fan runs from a chopped supply.",
  LINE_MISSING: "Compare the chip's label, the line or the pin in the configuration with what the board has.",
  LINE_BUSY: "Find who holds it: `cat /sys/kernel/debug/gpio` as root; free it or choose another line.",
  LINE_SETTINGS:
    "Write the line's number to /sys/class/gpio/unexport and start again; if it stays, choose another line.",
  READBACK:
    "Disconnect the relay board's input and try again. If the line reads well now, the board feeds it: it works the wrong way round " +
    "(low = energised) and would permit power with a dead computer; use one that a high level energises. If not, the line is shorted or another program drives it.",
  PERMISSION:
    "Run the command with sudo. If it is the daemon that may not: its user belongs in the groups `i2c` and `gpio`, and the udev rules give them the devices; the package sees to both.",
  FILE_MISSING: "Check the path in the configuration and that the kernel's driver for the sensor is loaded.",
  MALFORMED: "Check that the path in the configuration names the file with the value, not another one.",
  CLOSED: "Start the daemon again.",
  PACKAGE_MISSING:
    "On the board, beside the program, run `npm install onoff i2c-bus koffi`; it needs a C++ compiler and Python.",
  IO: "Read the kernel's messages (`dmesg`) for the device.",
};

/** What a HardwareError may carry besides its code and place. */
export type HardwareErrorOptions = ErrorOptions & {
  /** Replaces the code's general remedy where more is known. */
  readonly remedy?: string;
};

/** `EREMOTEIO` and its like (errno(3)). */
const SYSTEM_NAME = /^E[A-Z0-9]+$/;

/** An error at a known place with a code of the closed list; `place` is e.g. `i2c-1 0x48`. */
export class HardwareError extends Error {
  readonly code: HardwareErrorCode;
  readonly place: string;
  /** What is wrong, for somebody who sees the place already: without it, and without the system's name for what the words say. */
  readonly words: string;
  /** What to do about it, one sentence. */
  readonly remedy: string;

  constructor(code: HardwareErrorCode, place: string, detail?: string, options?: HardwareErrorOptions) {
    super(`${place}: ${HARDWARE_ERRORS[code]}${detail === undefined ? "" : ` (${detail})`}`, options);
    this.name = "HardwareError";
    this.code = code;
    this.place = place;
    const known = detail === undefined || (code !== "IO" && SYSTEM_NAME.test(detail));
    this.words = `${HARDWARE_ERRORS[code]}${known ? "" : ` (${detail})`}`;
    this.remedy = options?.remedy ?? HARDWARE_REMEDIES[code];
  }
}
