// One process per log: a lock of the operating system on a file beside it, which ends with the process, however that ends.
// It guards the log only; what is in the log it does not know.

import Database from "better-sqlite3";

/** Another process holds the file. */
export class FileInUse extends Error {
  constructor(file: string) {
    super(`${file} is in use by another emberwire`);
    this.name = "FileInUse";
  }
}

/** Closing the answer lets go. @throws FileInUse when another process holds it; otherwise what the disk says */
export function takeLock(file: string): Database.Database {
  const lock = new Database(`${file}.lock`, { timeout: 0 });
  try {
    lock.pragma("journal_mode = MEMORY");
    lock.pragma("locking_mode = EXCLUSIVE");
    lock.exec("BEGIN EXCLUSIVE");
    return lock;
  } catch (error) {
    lock.close();
    throw isBusy(error) ? new FileInUse(file) : error;
  }
}

function isBusy(error: unknown): boolean {
  return error instanceof Database.SqliteError && error.code.startsWith("SQLITE_BUSY");
}

/** Does another process hold it? A disk that does not let us look is no holder. */
export function isInUse(file: string): boolean {
  try {
    takeLock(file).close();
    return false;
  } catch (error) {
    return error instanceof FileInUse;
  }
}
