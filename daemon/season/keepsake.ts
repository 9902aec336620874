// The newest checkpoint while the log cannot be written: set aside then, and taken back once the log has a newer one. It forgives
// the disk: the log's own trouble is told already, and where not even this can be written there is nowhere left to keep it.

import { Spare, spareText } from "./spare.ts";

/** The file beside a log. */
export const keepsakeOf = (log: string): string => `${log}.spare`;

/** What was set aside and not taken back; null when there is none. @throws what the disk says, and for what was cut short */
export function keptBeside(log: string): string | null {
  return spareText(keepsakeOf(log));
}

export class Keepsake {
  readonly #file: string;
  #spare: Spare | null = null;

  constructor(log: string) {
    this.#file = keepsakeOf(log);
  }

  /** Takes its place on the disk; may be called again where the disk did not give it. */
  open(): void {
    this.#forgiving(() => {
      this.#spare ??= new Spare(this.#file);
    });
  }

  keep(checkpoint: string): void {
    this.#forgiving(() => this.#spare?.keep(checkpoint));
  }

  /**
   * Writes a log's batch with its checkpoint. At a start what was set aside counts for more than the log, so it must never be the
   * older of the two.
   * @throws what `write` does
   */
  around(checkpoint: string | null, write: () => void): void {
    if (checkpoint === null || this.#spare?.isInUse !== true) {
      write();
      return;
    }
    this.keep(checkpoint);
    write();
    this.#forgiving(() => this.#spare?.clear());
  }

  close(): void {
    this.#forgiving(() => this.#spare?.close());
    this.#spare = null;
  }

  #forgiving(work: () => void): void {
    try {
      work();
    } catch {}
  }
}
