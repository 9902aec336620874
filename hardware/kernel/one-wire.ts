// Thermometers on 1-Wire that the kernel's w1_therm reads: DS18B20 and relatives. The power-on value 85 °C, a wrong checksum
// and an empty bus are never passed on. It never writes to the chip.
import { oneWireCrc8 } from "../chips/crc8.ts";
import { HardwareError } from "../errors.ts";
import type { Board, Role, TemperatureSensor } from "../ports.ts";
import { Conversions } from "./conversions.ts";
import { readKernelText } from "./kernel-file.ts";

/** Longest wait for a conversion, s; below the cycle's own patience, above no conversion of 11 bits or fewer. */
const WAIT_SECONDS = 0.7;

/** What w1_therm reads, by the family code before the serial number. */
const FAMILIES: Readonly<Record<string, string>> = {
  "10": "DS18S20",
  "22": "DS1822",
  "28": "DS18B20",
  "3b": "DS1825",
  "42": "DS28EA00",
};

/** The chip's name of a device such as `28-00000a1b2c3d`; null when it is no thermometer that the kernel reads. */
export function familyName(device: string): string | null {
  const family = /^([0-9a-f]{2})-[0-9a-f]{12}$/.exec(device)?.[1];
  return family === undefined ? null : (FAMILIES[family] ?? null);
}

const POWER_ON_MILLIDEGREES = 85_000;
/** What a chip without enough power for its conversion gives: +127.94 °C. */
const NO_POWER_MILLIDEGREES = 127_937;
/** Byte 6 after power-on; after a conversion it holds something else. */
const POWER_ON_BYTE_6 = 0x0c;

/**
 * Degrees Celsius from the text of a `w1_slave` file: nine bytes of scratchpad in hexadecimal, the kernel's verdict on the
 * checksum, and `t=` in thousandths of a degree. The checksum is computed again here. The chip's power-on value (85 °C,
 * DS18B20 data sheet, table 1) counts as such when byte 6 is 0Ch, the test that the kernel documents as a driver feature
 * in Documentation/ABI/testing/sysfs-driver-w1_therm; the same byte tells +127.94 °C as a conversion without power.
 */
export function decode(text: string, place = "w1_slave"): number {
  const match = /^((?:[0-9a-f]{2} ){9}): crc=[0-9a-f]{2} (YES|NO)\n(?:[0-9a-f]{2} ){9}t=(-?\d{1,6})\s*$/.exec(text);
  if (match === null) throw new HardwareError("MALFORMED", place, JSON.stringify(text.slice(0, 60)));
  const [, hexadecimal = "", verdict, millidegrees] = match;
  const bytes = Uint8Array.from(hexadecimal.trim().split(" "), (byte) => Number.parseInt(byte, 16));
  if (verdict === "NO" || oneWireCrc8(bytes.subarray(0, 8)) !== bytes[8]) throw new HardwareError("CRC", place);
  // A wire held low reads as zeros, and zeros have the checksum zero; no scratchpad is all zero.
  if (bytes.every((byte) => byte === 0)) throw new HardwareError("CRC", place, "all bytes are zero");
  const value = Number(millidegrees);
  if (bytes[6] === POWER_ON_BYTE_6 && (value === POWER_ON_MILLIDEGREES || value === NO_POWER_MILLIDEGREES)) {
    throw new HardwareError("POWER_ON_VALUE", place, `${value / 1000} °C`);
  }
  return checked(value, place);
}

/** Degrees Celsius from the text of a `temperature` file. There is no byte 6 here, so 85.000 °C is always doubted. */
export function decodeTemperature(text: string, place = "temperature"): number {
  if (!/^-?\d{1,6}$/.test(text.trim())) throw new HardwareError("MALFORMED", place, JSON.stringify(text.slice(0, 60)));
  const value = Number(text);
  if (value === POWER_ON_MILLIDEGREES) throw new HardwareError("POWER_ON_VALUE", place, `${value / 1000} °C`);
  return checked(value, place);
}

function checked(millidegrees: number, place: string): number {
  const celsius = millidegrees / 1000;
  if (celsius >= -55 && celsius <= 125) return celsius;
  throw new HardwareError("OUT_OF_RANGE", place, `${celsius} °C, the chip measures -55 to 125 °C`);
}

/**
 * A thermometer at `/sys/bus/w1/devices/28-…`: the directory, its `w1_slave` or its `temperature` file. `w1_slave` is the
 * better one, for it carries the checksum and the byte that tells a true 85 °C.
 */
export function oneWireThermometer(name: string, role: Role, path: string, board: Board): TemperatureSensor {
  const file = /\/(w1_slave|temperature)$/.test(path) ? path : `${path.replace(/\/$/, "")}/w1_slave`;
  const [, family = "", serial = ""] = /\/([0-9a-f]{2})-([0-9a-f]{12})\/[^/]*$/.exec(file) ?? [];
  const part = FAMILIES[family] ?? "1-Wire thermometer";
  const parse = file.endsWith("temperature") ? decodeTemperature : decode;
  const conversions = new Conversions(board.clock, async () => parse(await readKernelText(board, file), file));
  const next = (): Promise<number> => conversions.next(WAIT_SECONDS, file);
  return {
    name,
    role,
    part,
    place: path,
    identify: async () => {
      if (family !== "" && FAMILIES[family] === undefined) {
        throw new HardwareError("WRONG_DEVICE", path, `family ${family} is no thermometer that the kernel reads`);
      }
      await next().catch(tolerateSlow);
      return serial === "" ? part : `${part}, serial ${serial}`;
    },
    read: async () => ({ celsius: await next(), humidityRatio: null }),
  };
}

/** A first conversion of 12 bits outlasts the wait; the file is there all the same, and the next reading has it. */
function tolerateSlow(cause: unknown): void {
  if (!(cause instanceof HardwareError) || cause.code !== "TIMEOUT") throw cause;
}
