// How far the record has been taken by the broker, kept in a small file so that a restart goes on where it was. A disk that refuses
// is told, and the place is then remembered until the end of the run only.

import { closeSync, fsyncSync, openSync, readFileSync, renameSync, writeSync } from "node:fs";

export class Bookmark {
  readonly #file: string;
  #id: number | null;
  #trouble: string | null = null;

  constructor(file: string) {
    this.#file = file;
    this.#id = readId(file);
  }

  /** Id of the last line that was taken; null before the first time. */
  get id(): number | null {
    return this.#id;
  }

  /** Why the place could not be kept; null while it can. */
  get trouble(): string | null {
    return this.#trouble;
  }

  /** On the disk when it returns, unless there is trouble. */
  move(id: number): void {
    if (this.#id === id && this.#trouble === null) return;
    this.#id = id;
    const beside = `${this.#file}.part`;
    try {
      const descriptor = openSync(beside, "w", 0o640);
      try {
        writeSync(descriptor, `${JSON.stringify({ id })}\n`);
        fsyncSync(descriptor);
      } finally {
        closeSync(descriptor);
      }
      renameSync(beside, this.#file);
      this.#trouble = null;
    } catch (error) {
      this.#trouble = error instanceof Error ? error.message : String(error);
    }
  }
}

/** Null where there is none, or nothing that can be read: lines are then sent again rather than left out. */
function readId(file: string): number | null {
  try {
    const { id } = JSON.parse(readFileSync(file, "utf8")) as { readonly id?: unknown };
    return typeof id === "number" && Number.isSafeInteger(id) && id >= 0 ? id : null;
  } catch {
    return null;
  }
}
