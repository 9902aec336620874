// Where the daemon keeps what it writes. It finds and makes the folder; what is written there is not its business.

import { accessSync, constants, existsSync, mkdirSync } from "node:fs";
import { dirname, join, resolve } from "node:path";

/** Where an installed daemon keeps it. */
export const SYSTEM_FOLDER = "/var/lib/emberwire";
const CHECKOUT_FOLDER = ".emberwire";

/** The configured folder, else the system's where this user may write, else one in the working folder. */
export function dataFolder(configured: string | undefined): string {
  if (configured !== undefined) return resolve(configured);
  return isWritable(SYSTEM_FOLDER) ? SYSTEM_FOLDER : resolve(CHECKOUT_FOLDER);
}

/** Makes the folder; a disk that refuses is the log's trouble later, not an error here. */
export function makeFolder(folder: string): void {
  try {
    makeWithParents(folder);
  } catch {
    // The log says what is wrong with it, every time it tries.
  }
}

/** Not by mkdir's own recursion: Node's goes round for ever where a folder exists that answers ENOENT, as /proc does. */
function makeWithParents(folder: string): void {
  if (existsSync(folder)) return;
  makeWithParents(dirname(folder));
  mkdirSync(folder, { mode: 0o750 });
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

/** The model that was accepted on the page; a simulated box's model must never reach a real one. */
export function acceptedModelFile(folder: string, simulated: boolean): string {
  return join(folder, simulated ? "simulated-model.toml" : "model.toml");
}

/** Who may come in (one register for both kinds), who is in, and the key of this machine's own commands. */
export function accessFiles(
  folder: string,
  simulated: boolean,
): Readonly<Record<"register" | "sessions" | "localKey", string>> {
  const kind = simulated ? "simulated-" : "";
  return {
    register: join(folder, "access.json"),
    sessions: join(folder, `${kind}sessions.json`),
    localKey: join(folder, `${kind}local-key`),
  };
}
