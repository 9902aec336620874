// The link to the shack's rig-control server, for as long as the service thread lives: asks round after round, connects anew with
// growing pauses, and hands on each word. It decides nothing, and no failure of it reaches further than its own trouble text.

import type { Cancel, Clock } from "../../../hardware/ports.ts";
import type { RigWord } from "../rig.ts";
import type { Server } from "./connection.ts";
import { Session } from "./session.ts";

export type LinkOptions = {
  readonly server: Server;
  /** Of the rig itself, for a meter that shows a share; null = not known. */
  readonly fullWatts: number | null;
  readonly clock: Clock;
  readonly onWord: (word: RigWord) => void;
  /** Runs after each round with the rig at hand; the next round waits for it. */
  readonly afterRound?: (session: Session, word: RigWord) => Promise<void>;
};

/** From the beginning of one round to that of the next, and the least pause between two. */
const ROUND_SECONDS = 0.5;
const LEAST_PAUSE_SECONDS = 0.1;
const FIRST_PAUSE_SECONDS = 1;
const LONGEST_PAUSE_SECONDS = 30;

export class RigLink {
  readonly #options: LinkOptions;
  #session: Session | null = null;
  #pauseSeconds = FIRST_PAUSE_SECONDS;
  #trouble: string | null = "not connected yet";
  readonly #end = new AbortController();
  #wake: (() => void) | null = null;
  readonly #done: Promise<void>;

  constructor(options: LinkOptions) {
    this.#options = options;
    this.#done = this.#run();
  }

  /** Why nothing is heard; null while the last round went well. */
  get trouble(): string | null {
    return this.#trouble;
  }

  /** Ends the connection; resolves when nothing runs any more. */
  close(): Promise<void> {
    this.#end.abort();
    this.#wake?.();
    return this.#done;
  }

  async #run(): Promise<void> {
    const { signal } = this.#end;
    while (!signal.aborted) {
      const seconds = await this.#once();
      if (!signal.aborted) await this.#pause(seconds);
    }
  }

  /** One round. Returns how long to wait for the next; never rejects. */
  async #once(): Promise<number> {
    const { server, fullWatts, clock, onWord, afterRound } = this.#options;
    const began = clock.monotonicSeconds();
    try {
      this.#session ??= await Session.open(server, fullWatts, clock, this.#end.signal);
      const word = await this.#session.round();
      this.#trouble = null;
      this.#pauseSeconds = FIRST_PAUSE_SECONDS;
      onWord(word);
      await afterRound?.(this.#session, word);
      return Math.max(LEAST_PAUSE_SECONDS, ROUND_SECONDS - (clock.monotonicSeconds() - began));
    } catch (error) {
      this.#trouble = (error instanceof Error ? error.message : String(error)).slice(0, 200);
      // A server whose rig is switched off is asked again on the same connection.
      if (this.#session?.alive === false) this.#session = null;
      const seconds = this.#pauseSeconds;
      this.#pauseSeconds = Math.min(LONGEST_PAUSE_SECONDS, seconds * 2);
      return seconds;
    }
  }

  #pause(seconds: number): Promise<void> {
    return new Promise((resolve) => {
      const cancel: Cancel = this.#options.clock.after(seconds, () => this.#wake?.());
      this.#wake = () => {
        cancel();
        this.#wake = null;
        resolve();
      };
    });
  }
}
