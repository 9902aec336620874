// One costly piece of work at a time, a few waiting, everybody else turned away: logins must not take libuv's threads, which
// hardware reads wait in, nor the memory. It knows nothing of the work.

/** Too many wait already. */
export class Crowded extends Error {
  constructor() {
    super("too many wait already");
    this.name = "Crowded";
  }
}

export class Turnstile {
  readonly #mostWaiting: number;
  #waiting = 0;
  #last: Promise<unknown> = Promise.resolve();

  constructor(mostWaiting: number) {
    this.#mostWaiting = mostWaiting;
  }

  /** Runs `work` when all before it are through. @throws Crowded when there is no place to wait; what `work` throws */
  pass<Outcome>(work: () => Promise<Outcome>): Promise<Outcome> {
    if (this.#waiting > this.#mostWaiting) return Promise.reject(new Crowded());
    this.#waiting += 1;
    const turn = this.#last.then(work).finally(() => {
      this.#waiting -= 1;
    });
    this.#last = turn.catch(() => {});
    return turn;
  }
}
