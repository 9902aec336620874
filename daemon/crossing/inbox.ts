// Operators' commands on their way into a cycle: each id enters exactly once, and who asks again gets the first answer again.
// Bounded; it never carries a command out.

import type { Answer, Command } from "../core/commands.ts";

/** Ids remembered with their answers: far more than a client would repeat. */
const REMEMBERED = 1_000;
/** Commands that may wait for one cycle. */
const WAITING = 64;

export class Inbox {
  #waiting: Command[] = [];
  /** Answer per id; null until the command was in a cycle. */
  readonly #seen = new Map<string, Answer | null>();

  /** Takes what is new. Returns answers for what is not: known ones, and a refusal where there is no room. */
  deliver(commands: readonly Command[]): readonly Answer[] {
    const answers: Answer[] = [];
    for (const command of commands) {
      const known = this.#seen.get(command.id);
      if (known !== undefined) {
        if (known !== null) answers.push(known);
      } else if (this.#waiting.length >= WAITING) {
        answers.push({ id: command.id, accepted: false, text: "too many commands wait already" });
      } else {
        this.#seen.set(command.id, null);
        this.#waiting.push(command);
      }
    }
    return answers;
  }

  /** All that wait, for the cycle that is about to step. */
  take(): readonly Command[] {
    const taken = this.#waiting;
    this.#waiting = [];
    return taken;
  }

  /** What became of commands that were taken. */
  settle(answers: readonly Answer[]): void {
    for (const answer of answers) this.#seen.set(answer.id, answer);
    for (const [id, answer] of this.#seen) {
      if (this.#seen.size <= REMEMBERED) return;
      if (answer !== null) this.#seen.delete(id);
    }
  }
}
