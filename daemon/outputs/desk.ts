// Where an operator's command waits for the heartbeat's answer: each has an id, a place and a deadline.
// It carries nothing out; what the answer is, the program decides.

import type { Cancel, Clock } from "../../hardware/ports.ts";
import type { Action, Answer, Command } from "../core/commands.ts";

export type DeskOptions = {
  /** The machine's clock. */
  readonly clock: Clock;
  /** Begins every id made here, so that ids of two starts never meet. */
  readonly runKey: string;
  readonly send: (command: Command) => void;
};

/** Commands that may wait at once. */
const MOST_WAITING = 32;
/** The heartbeat answers within a cycle; after this the asker is told that it did not. */
const ANSWER_SECONDS = 5;

type Waiting = {
  readonly answered: Promise<Answer>;
  readonly settle: (answer: Answer) => void;
  readonly cancel: Cancel;
};

export class CommandDesk {
  readonly #options: DeskOptions;
  readonly #waiting = new Map<string, Waiting>();
  #count = 0;

  constructor(options: DeskOptions) {
    this.#options = options;
  }

  /**
   * Hands a command on and resolves with the program's answer. The same id asked twice is one command.
   * `by` and `from` go into the record.
   * @throws Error when too many wait already, or when no answer came in time
   */
  submit(action: Action, id: string | null, by: string, from: string): Promise<Answer> {
    this.#count += 1;
    const known = id ?? `${this.#options.runKey}.${this.#count}`;
    const already = this.#waiting.get(known);
    if (already !== undefined) return already.answered;
    if (this.#waiting.size >= MOST_WAITING) return Promise.reject(new Error("too many commands wait already"));
    const { promise, resolve, reject } = withResolvers<Answer>();
    const cancel = this.#options.clock.after(ANSWER_SECONDS, () => {
      this.#waiting.delete(known);
      reject(
        new Error(
          `no cycle took the command within ${ANSWER_SECONDS} s; look whether it was carried out before repeating it`,
        ),
      );
    });
    this.#waiting.set(known, { answered: promise, settle: resolve, cancel });
    this.#options.send({ id: known, by, from, action });
    return promise;
  }

  /** What the heartbeat said; an answer nobody waits for is dropped. */
  answer(answers: readonly Answer[]): void {
    for (const answer of answers) {
      const waiting = this.#waiting.get(answer.id);
      if (waiting === undefined) continue;
      this.#waiting.delete(answer.id);
      waiting.cancel();
      waiting.settle(answer);
    }
  }
}

/** Promise.withResolvers comes with Node 22. */
function withResolvers<T>(): {
  readonly promise: Promise<T>;
  readonly resolve: (value: T) => void;
  readonly reject: (error: Error) => void;
} {
  let resolve: (value: T) => void = () => {};
  let reject: (error: Error) => void = () => {};
  const promise = new Promise<T>((onValue, onError) => {
    resolve = onValue;
    reject = onError;
  });
  return { promise, resolve, reject };
}
