// Operators' commands on their way into a cycle: each id enters exactly once, however often it arrives.
// Bounded; it never carries a command out and never answers one.

import type { Command } from "../core/commands.ts";

/** Ids remembered after their command entered a cycle: far more than a client would repeat. */
const REMEMBERED = 1_000;
/** Commands that may wait for one cycle. */
const WAITING = 64;

export class Inbox {
  #waiting: Command[] = [];
  readonly #seen = new Set<string>();

  /** Takes what is new; an id already seen is passed over. Returns the ids that were turned away because it is full. */
  deliver(commands: readonly Command[]): readonly string[] {
    const refused: string[] = [];
    for (const command of commands) {
      if (this.#seen.has(command.id)) continue;
      if (this.#waiting.length >= WAITING) {
        refused.push(command.id);
        continue;
      }
      this.#seen.add(command.id);
      this.#waiting.push(command);
    }
    this.#forget();
    return refused;
  }

  /** All that wait, for the cycle that is about to step. */
  take(): readonly Command[] {
    const taken = this.#waiting;
    this.#waiting = [];
    return taken;
  }

  #forget(): void {
    for (const id of this.#seen) {
      if (this.#seen.size <= REMEMBERED) return;
      this.#seen.delete(id);
    }
  }
}
