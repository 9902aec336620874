// A small file that only its owner may read: written whole or not at all, with mode 0600. It knows nothing of what stands in it.

import {
  chownSync,
  closeSync,
  fsyncSync,
  openSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  writeSync,
} from "node:fs";
import { dirname } from "node:path";

const MODE = 0o600;
const MOST_BYTES = 256 * 1024;

/** The text, or null where there is no such file. @throws Error of the system, or when it is far too large */
export function readPrivate(file: string): string | null {
  const status = statSync(file, { throwIfNoEntry: false });
  if (status === undefined) return null;
  if (status.size > MOST_BYTES) throw new Error(`it holds ${status.size} bytes`);
  return readFileSync(file, "utf8");
}

/** Changes whenever the file does; null where there is none. */
export function fingerprint(file: string): string | null {
  const status = statSync(file, { throwIfNoEntry: false, bigint: true });
  return status === undefined ? null : `${status.dev}.${status.ino}.${status.size}.${status.mtimeNs}.${status.ctimeNs}`;
}

/**
 * Puts `text` in the file's place. Written by root, it belongs to the folder's owner afterwards, who is the daemon's user.
 * @throws Error of the system; the older file then stands as it was
 */
export function writePrivate(file: string, text: string): void {
  const beside = `${file}.${process.pid}.part`;
  rmSync(beside, { force: true });
  const descriptor = openSync(beside, "wx", MODE);
  try {
    try {
      for (let bytes = Buffer.from(text); bytes.length > 0; ) bytes = bytes.subarray(writeSync(descriptor, bytes));
      fsyncSync(descriptor);
    } finally {
      closeSync(descriptor);
    }
    if (process.getuid?.() === 0) {
      const { uid, gid } = statSync(dirname(file));
      chownSync(beside, uid, gid);
    }
    renameSync(beside, file);
  } catch (error) {
    rmSync(beside, { force: true });
    throw error;
  }
}
