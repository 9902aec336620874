// One retained topic: the newest text wins over every older one, and a single message is under way at a time, so that a slow line
// can neither pile up nor deliver yesterday's state. It does not know when something is worth sending.

import type { Session } from "./broker-link.ts";
import { isRefusal } from "./trouble.ts";

export type SlotOptions = {
  readonly topic: string;
  /** Life of a text from when it was put, s; null = for good. */
  readonly expirySeconds: number | null;
  readonly nowSeconds: () => number;
  readonly onAcknowledged: () => void;
  readonly onRefused: (error: unknown) => void;
};

type Text = { readonly text: string; readonly atSeconds: number; readonly onTaken: (() => void) | undefined };

export class Slot {
  readonly #options: SlotOptions;
  #newest: Text | null = null;
  #taken: Text | null = null;
  #session: Session | null = null;
  #busy = false;

  constructor(options: SlotOptions) {
    this.#options = options;
  }

  /** Replaces what waits. `onTaken` is called once, when the broker has acknowledged this very text. */
  put(text: string, onTaken?: () => void): void {
    this.#newest = { text, atSeconds: this.#options.nowSeconds(), onTaken };
    this.#send();
  }

  /** A new session: the broker may have lost everything, so the newest is sent again. */
  open(session: Session): void {
    this.#session = session;
    this.#busy = false;
    this.#taken = null;
    this.#send();
  }

  close(): void {
    this.#session = null;
  }

  #send(): void {
    const session = this.#session;
    const next = this.#newest;
    if (session === null || this.#busy || next === null || next === this.#taken) return;
    const expirySeconds = this.#left(next);
    if (expirySeconds !== null && expirySeconds < 1) return;
    this.#busy = true;
    const { topic, onAcknowledged, onRefused } = this.#options;
    session.publish({ topic, text: next.text, retain: true, expirySeconds }).then(
      () => {
        if (this.#session !== session) return;
        this.#busy = false;
        this.#taken = next;
        onAcknowledged();
        next.onTaken?.();
        this.#send();
      },
      (error: unknown) => {
        if (this.#session === session && isRefusal(error)) onRefused(error);
      },
    );
  }

  /** What is left of a text's life, in the whole seconds that MQTT counts. */
  #left({ atSeconds }: Text): number | null {
    const { expirySeconds, nowSeconds } = this.#options;
    return expirySeconds === null ? null : Math.round(expirySeconds - (nowSeconds() - atSeconds));
  }
}
