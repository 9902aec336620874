// Carries one channel's outbox out: one letter at a time, each with a deadline, again later when refused.
// It decides nothing; planner and outbox do.

import type { Cancel, Clock } from "../../../hardware/ports.ts";
import type { Channel, Notice } from "./notice.ts";
import {
  afterDelivery,
  afterFailure,
  dueAtSeconds,
  EMPTY_OUTBOX,
  enqueue,
  type OutboxSettings,
  type OutboxState,
} from "./outbox.ts";

export type CourierOptions = {
  readonly channel: Channel;
  readonly outbox: OutboxSettings;
  readonly feedpoint: string;
  readonly simulated: boolean;
  readonly deadlineSeconds: number;
  readonly clock: Pick<Clock, "monotonicSeconds" | "after">;
  /** Told once when deliveries begin to fail, with the words of the far side, and once when they work again. */
  readonly onFailing?: (error: string) => void;
  readonly onDelivering?: () => void;
};

/** How a channel is doing, for the Check page. */
export type ChannelHealth = {
  readonly name: string;
  readonly waiting: number;
  readonly failures: number;
  readonly lastError: string | null;
  readonly lastDeliveredAtSeconds: number | null;
};

/** One channel at work. `settled()` resolves when the delivery under way has ended, for tests and a clean stop. */
export class Courier {
  readonly #options: CourierOptions;
  #outbox: OutboxState = EMPTY_OUTBOX;
  #pending: Promise<void> | null = null;
  #wake: Cancel | null = null;
  readonly #stop = new AbortController();

  constructor(options: CourierOptions) {
    if (!(options.outbox.lettersPerHour >= 1)) throw new RangeError("lettersPerHour: expected at least 1");
    this.#options = options;
  }

  /** Takes notices and sends what is due. */
  post(notices: readonly Notice[]): void {
    this.#outbox = enqueue(this.#outbox, notices);
    this.#schedule();
  }

  health(): ChannelHealth {
    const { waiting, failures, lastError, lastDeliveredAtSeconds } = this.#outbox;
    return { name: this.#options.channel.name, waiting: waiting.size, failures, lastError, lastDeliveredAtSeconds };
  }

  async settled(): Promise<void> {
    await this.#pending;
  }

  /** Gives up what is under way; undelivered notices stay in the record, which keeps every alarm. */
  async close(): Promise<void> {
    this.#stop.abort();
    this.#wake?.();
    await this.#pending;
  }

  #schedule(): void {
    this.#wake?.();
    this.#wake = null;
    if (this.#pending !== null || this.#stop.signal.aborted) return;
    const due = dueAtSeconds(this.#options.outbox, this.#outbox);
    if (due === null) return;
    const wait = due - this.#options.clock.monotonicSeconds();
    if (wait > 0) {
      this.#wake = this.#options.clock.after(wait, () => this.#schedule());
      return;
    }
    this.#pending = this.#deliver().finally(() => {
      this.#pending = null;
      this.#schedule();
    });
  }

  async #deliver(): Promise<void> {
    const { channel, outbox: settings, clock, feedpoint, simulated, deadlineSeconds } = this.#options;
    const notices = [...this.#outbox.waiting.values()];
    const replaced = this.#outbox.replaced;
    const deadline = new AbortController();
    const cancel = clock.after(deadlineSeconds, () =>
      deadline.abort(new Error(`no answer within ${deadlineSeconds} s`)),
    );
    try {
      await channel.deliver(
        { feedpoint, simulated, notices, replaced },
        AbortSignal.any([deadline.signal, this.#stop.signal]),
      );
      if (this.#outbox.failures > 0) this.#options.onDelivering?.();
      this.#outbox = afterDelivery(settings, this.#outbox, notices, replaced, clock.monotonicSeconds());
    } catch (error) {
      const words = error instanceof Error ? error.message : String(error);
      // Being closed is no failure of the far side.
      if (this.#outbox.failures === 0 && !this.#stop.signal.aborted) this.#options.onFailing?.(words);
      this.#outbox = afterFailure(settings, this.#outbox, words, clock.monotonicSeconds());
    } finally {
      cancel();
    }
  }
}
