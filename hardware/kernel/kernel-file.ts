// One number in one file of the kernel, with the deadline that a driver in trouble needs. A path may hold one `*`, for the
// kernel numbers its hwmon devices anew at each boot. It never remembers a value.
import { withDeadline } from "../clock.ts";
import { fromErrno } from "../errno.ts";
import { HardwareError } from "../errors.ts";
import type { Board } from "../ports.ts";

/** Longest read of a file, s; a driver of the kernel may wait for its chip. */
const FILE_SECONDS = 0.5;

/** Numbers tried for a `*`: boards have a handful of hwmon devices. */
const NUMBERS_TRIED = 32;

/** The text of a kernel file. Rejects with HardwareError at the path; has no deadline. */
export async function readKernelText(board: Board, path: string): Promise<string> {
  try {
    return await board.readText(path);
  } catch (cause) {
    throw fromErrno(cause, path, "file");
  }
}

/** The text of a kernel file, trimmed, with a deadline. Rejects with HardwareError at the path. */
export async function readTrimmed(board: Board, path: string): Promise<string> {
  return (await withDeadline(board.clock, FILE_SECONDS, path, readKernelText(board, path))).trim();
}

/** The whole number in a kernel file; anything else is MALFORMED. */
export async function readWhole(board: Board, path: string): Promise<number> {
  const text = await readTrimmed(board, path);
  if (!/^-?\d{1,9}$/.test(text)) {
    throw new HardwareError("MALFORMED", path, `expected a whole number, got ${JSON.stringify(text.slice(0, 40))}`);
  }
  return Number(text);
}

/** The one existing path that a path with a `*` stands for; a path without one stands for itself. */
export async function resolveNumber(board: Board, path: string): Promise<string> {
  if (!path.includes("*")) return path;
  const [before, after, ...more] = path.split("*");
  if (before === undefined || after === undefined || more.length > 0) {
    throw new HardwareError("FILE_MISSING", path, "a path may hold one *");
  }
  const found: string[] = [];
  for (let number = 0; number < NUMBERS_TRIED; number += 1) {
    const candidate = `${before}${number}${after}`;
    if (await exists(board, candidate)) found.push(candidate);
  }
  const [only, another] = found;
  if (only === undefined)
    throw new HardwareError("FILE_MISSING", path, `no number from 0 to ${NUMBERS_TRIED - 1} fits`);
  if (another !== undefined) throw new HardwareError("FILE_MISSING", path, `more than one fits: ${found.join(", ")}`);
  return only;
}

/** A file that is there but cannot be read just now exists all the same. */
async function exists(board: Board, path: string): Promise<boolean> {
  try {
    await readTrimmed(board, path);
    return true;
  } catch (cause) {
    if (cause instanceof HardwareError && cause.code === "FILE_MISSING") return false;
    if (cause instanceof HardwareError) return true;
    throw cause;
  }
}
