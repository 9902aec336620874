// Where the daemon keeps what it writes. It finds and makes the folder; what is written there is not its business.

import { accessSync, constants, mkdirSync } from "node:fs";
import { join, resolve } from "node:path";

const SYSTEM_FOLDER = "/var/lib/emberwire";
const CHECKOUT_FOLDER = ".emberwire";

/** The configured folder, else the system's where this user may write, else one in the working folder. */
export function dataFolder(configured: string | undefined): string {
  if (configured !== undefined) return resolve(configured);
  return isWritable(SYSTEM_FOLDER) ? SYSTEM_FOLDER : resolve(CHECKOUT_FOLDER);
}

/** Makes the folder; a disk that refuses is the log's trouble later, not an error here. */
export function makeFolder(folder: string): void {
  try {
    mkdirSync(folder, { recursive: true, mode: 0o750 });
  } catch {
    // The log says what is wrong with it, every time it tries.
  }
}

/** Simulated and real data never share a file. */
export function logFile(folder: string, simulated: boolean): string {
  return join(folder, simulated ? "simulated.db" : "season.db");
}

function isWritable(folder: string): boolean {
  try {
    accessSync(folder, constants.W_OK);
    return true;
  } catch {
    return false;
  }
}
