// The stream of frames: numbered deltas for all who read along, the newest frame winning over every older one. It decides when a
// frame leaves; who reads, and how each is kept up, is the audience's.

import type { Cancel, Clock } from "../../hardware/ports.ts";
import { diffFrames } from "../wire/delta.ts";
import type { About, Frame, ServerMessage } from "../wire/frame.ts";
import { Audience, type StreamText, streamText } from "./audience.ts";

export type StreamOptions = {
  readonly about: About;
  /** The machine's clock. */
  readonly clock: Clock;
  /** Readers at once, of all kinds. */
  readonly mostReaders: number;
};

/** At most five frames a second, whatever the speed of a simulated feedpoint. */
const FRAME_SECONDS = 0.2;
/** Some dozens of frames. */
const BACKLOG_BYTES = 64 * 1024;

export class Stream {
  readonly audience: Audience;
  /** Tells the numbers of this stream from those of one before a restart. */
  readonly key: string;
  readonly #clock: Clock;
  #sent: Frame | null = null;
  #newest: Frame | null = null;
  #pendingFlush: Cancel | null = null;

  /** @throws RangeError when there is no place for anybody */
  constructor({ about, clock, mostReaders }: StreamOptions) {
    this.#clock = clock;
    const startMilliseconds = Math.round(clock.monotonicSeconds() * 1000);
    this.key = `${clock.bootId.slice(0, 8)}-${startMilliseconds.toString(36)}`;
    this.audience = new Audience({
      clock,
      mostReaders,
      backlogBytes: BACKLOG_BYTES,
      snapshot: (sequence) =>
        this.#sent === null ? null : encode({ type: "snapshot", sequence, about, frame: this.#sent }),
    });
  }

  get latest(): Frame | null {
    return this.#newest;
  }

  /** The newest frame; it is sent at once or, when one was sent just now, a moment later. */
  publish(frame: Frame): void {
    this.#newest = frame;
    if (this.#pendingFlush !== null) return;
    this.#flush(frame);
    this.#pendingFlush = this.#clock.after(FRAME_SECONDS, () => {
      this.#pendingFlush = null;
      if (this.#newest !== this.#sent && this.#newest !== null) this.publish(this.#newest);
    });
  }

  /** Says goodbye to every reader. */
  close(): void {
    this.#pendingFlush?.();
    this.audience.close();
  }

  #flush(frame: Frame): void {
    const before = this.#sent;
    this.#sent = frame;
    this.audience.send((sequence) =>
      before === null ? null : encode({ type: "delta", sequence, delta: diffFrames(before, frame) }),
    );
  }
}

const encode = (message: ServerMessage): StreamText => streamText(message);
