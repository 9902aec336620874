// Sensors that a kernel driver reads: `temp*_input` in thousandths of a degree and `fan*_input` in rpm, as the kernel's
// Documentation/hwmon/sysfs-interface.rst defines them. A fault flag beside the value overrides the value.
import { HardwareError } from "../errors.ts";
import type { Board, Cancel, Role, Tachometer, TachometerSample, TemperatureSensor } from "../ports.ts";
import { readTrimmed, readWhole, resolveNumber } from "./kernel-file.ts";

/** No thermometer of the kernel is believed outside this range, °C. */
const LOWEST_CELSIUS = -60;
const HIGHEST_CELSIUS = 200;

/** Degrees Celsius from the text of a `temp*_input` file; null when it is not a whole number. */
export function decode(text: string): number | null {
  return /^-?\d{1,9}$/.test(text.trim()) ? Number(text) / 1000 : null;
}

/** A thermometer behind a `temp*_input` file; `path` may hold one `*` for the number that changes from boot to boot. */
export function hwmonThermometer(name: string, role: Role, path: string, board: Board): TemperatureSensor {
  if (!path.endsWith("_input")) throw new RangeError(`an hwmon temperature ends in _input, not ${path}`);
  const file = new HwmonFile(board, path);
  return {
    name,
    role,
    part: "hwmon thermometer",
    place: path,
    identify: () => file.identify(),
    read: async () => {
      const celsius = (await file.read()) / 1000;
      if (celsius < LOWEST_CELSIUS || celsius > HIGHEST_CELSIUS) {
        throw new HardwareError("OUT_OF_RANGE", path, `${celsius} °C`);
      }
      return { celsius, humidityRatio: null };
    },
  };
}

/** A fan speed behind a `fan*_input` file: a bare number, so regularity and edges are unknown. */
export function hwmonTachometer(path: string, board: Board): Tachometer {
  if (!path.endsWith("_input")) throw new RangeError(`an hwmon fan ends in _input, not ${path}`);
  const file = new HwmonFile(board, path);
  return {
    name: "tachometer",
    part: "hwmon fan",
    place: path,
    identify: () => file.identify(),
    read: async (): Promise<TachometerSample> => {
      const rpm = await file.read();
      if (rpm < 0 || rpm > 100_000) throw new HardwareError("OUT_OF_RANGE", path, `${rpm} rpm`);
      return { rpm, regularity: null, rejectedEdges: 0, lostEdges: null, secondsSinceEdge: null };
    },
    // The kernel tells nobody when a fan stops; the next reading shows it.
    onQuiet: (): Cancel => () => undefined,
  };
}

/** The value file with the driver's name and the fault flag that may stand beside it. */
class HwmonFile {
  readonly #board: Board;
  readonly #pattern: string;
  #path: string | null = null;
  #faultPath: string | null = null;

  constructor(board: Board, pattern: string) {
    this.#board = board;
    this.#pattern = pattern;
  }

  async identify(): Promise<string> {
    this.#path = null;
    const path = await this.#resolve();
    const driver = await readTrimmed(this.#board, path.replace(/[^/]*$/, "name"));
    await readWhole(this.#board, path);
    return `kernel driver ${driver}`;
  }

  async read(): Promise<number> {
    const path = await this.#resolve();
    try {
      const faultPath = this.#faultPath;
      if (faultPath !== null && (await readWhole(this.#board, faultPath)) !== 0) {
        throw new HardwareError("OUT_OF_RANGE", path, "the driver reports a fault of the sensor");
      }
      return await readWhole(this.#board, path);
    } catch (cause) {
      // The device may have come back under another number.
      if (cause instanceof HardwareError && cause.code === "FILE_MISSING") this.#path = null;
      throw cause;
    }
  }

  async #resolve(): Promise<string> {
    if (this.#path !== null) return this.#path;
    const path = await resolveNumber(this.#board, this.#pattern);
    const faultPath = path.replace(/_input$/, "_fault");
    const hasFault = await this.#board.readText(faultPath).then(
      () => true,
      () => false,
    );
    this.#faultPath = hasFault ? faultPath : null;
    this.#path = path;
    return path;
  }
}
