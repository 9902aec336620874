// Asking the character device for one line, and putting the refusal into words an operator can act on: who holds it, or that
// the kernel is too old. It is the only place that asks for lines.
import { writeFile } from "node:fs/promises";
import { fromErrno } from "../errno.ts";
import { HardwareError } from "../errors.ts";
import type { KernelCalls } from "./kernel-calls.ts";
import { findSysfsLine, GPIO_DIRECTORY } from "./sysfs-chips.ts";
import {
  decodeLineInfo,
  decodeValues,
  encodeLineInfo,
  encodeRequest,
  FLAG,
  fileOfRequest,
  IOCTL,
  SIZE,
} from "./uapi.ts";

/** A chip with its device. */
export type Chip = { readonly name: string; readonly label: string; readonly lines: number; readonly path: string };

/** A line to be asked for. */
export type DeviceLine = {
  readonly chip: Chip;
  readonly offset: number;
  readonly place: string;
  readonly root: string;
  readonly calls: KernelCalls;
};

/** Under this name `gpioinfo` shows who holds the line. */
const CONSUMER = "emberwire";

/** What the kernel calls a line that was given out through sysfs. */
const SYSFS = "sysfs";

/** Asks for the line; resolves to its file. A line that a crash left exported through sysfs is given back once and asked for again. */
export async function requestLine(line: DeviceLine, flags: number): Promise<number> {
  try {
    return request(line, flags);
  } catch (cause) {
    if (holderOf(line) !== SYSFS) throw refusal(line, cause);
  }
  await unexport(line);
  try {
    return request(line, flags);
  } catch (cause) {
    throw refusal(line, cause);
  }
}

/** The line's level now. */
export function levelOf(line: DeviceLine, file: number): 0 | 1 {
  const values = new Uint8Array(SIZE.values);
  values[8] = 1;
  try {
    line.calls.ioctl(file, IOCTL.LINE_GET_VALUES, values);
  } catch (cause) {
    throw fromErrno(cause, line.place, "line");
  }
  return decodeValues(values);
}

/** The settings that the kernel says the line has, against the ones asked for. Throws LINE_SETTINGS. */
export function checkSettings(line: DeviceLine, flags: number): void {
  const info = lineInfo(line);
  const settings = FLAG.INPUT | FLAG.OUTPUT | FLAG.EDGE_FALLING | FLAG.ACTIVE_LOW;
  if (info.consumer !== CONSUMER || (info.flags & settings) !== (flags & settings)) {
    const got = `flags 0x${info.flags.toString(16)}, held by ${info.consumer ?? "nobody"}`;
    throw new HardwareError("LINE_SETTINGS", line.place, `${got}, not 0x${flags.toString(16)} by ${CONSUMER}`);
  }
}

function request({ chip, offset, root, calls }: DeviceLine, flags: number): number {
  const device = calls.open(`${root}${chip.path}`);
  try {
    const bytes = encodeRequest(offset, CONSUMER, flags);
    calls.ioctl(device, IOCTL.GET_LINE, bytes);
    return fileOfRequest(bytes);
  } finally {
    calls.close(device);
  }
}

function lineInfo({ chip, offset, place, root, calls }: DeviceLine) {
  try {
    const device = calls.open(`${root}${chip.path}`);
    try {
      const bytes = encodeLineInfo(offset);
      calls.ioctl(device, IOCTL.GET_LINEINFO, bytes);
      return decodeLineInfo(bytes);
    } finally {
      calls.close(device);
    }
  } catch (cause) {
    throw fromErrno(cause, place, "line");
  }
}

/** Null when nobody holds it or that cannot be asked. */
function holderOf(line: DeviceLine): string | null {
  try {
    return lineInfo(line).consumer;
  } catch {
    return null;
  }
}

function refusal(line: DeviceLine, cause: unknown): HardwareError {
  const error = fromErrno(cause, line.place, "line");
  const { code } = (cause ?? {}) as { code?: unknown };
  if (error.code === "LINE_BUSY") {
    return new HardwareError("LINE_BUSY", line.place, `held by "${holderOf(line) ?? "someone"}"`, { cause });
  }
  if (code === "EINVAL" || code === "ENOTTY") {
    return new HardwareError("LINE_SETTINGS", line.place, `${code} from ${line.chip.path}`, {
      cause,
      remedy:
        'The kernel may be older than 5.10, or the chip cannot do edges: write interface = "sysfs" in the table [gpio].',
    });
  }
  return error;
}

/** Gives back what a process that used sysfs left behind. The second request says whether it helped. */
async function unexport({ chip, offset, root }: DeviceLine): Promise<void> {
  try {
    const { number } = await findSysfsLine(root, { chipLabel: chip.label, offset });
    await writeFile(`${root}${GPIO_DIRECTORY}/unexport`, String(number));
  } catch {
    // Not ours to give back; the line stays busy and is reported so.
  }
}
