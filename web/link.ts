// The line to the daemon: one WebSocket, opened again by itself for as long as the page lives, a fresh snapshot after any
// gap. It hands messages on as they come; it never interprets a number.

import { backoffSeconds } from "./backoff.ts";
import type { Cancel, PageClock } from "./clock.ts";
import type { LinkState } from "./model.ts";

/** The part of `WebSocket` that is needed here. */
export type Socket = {
  onopen: (() => void) | null;
  onmessage: ((event: { readonly data: unknown }) => void) | null;
  onclose: (() => void) | null;
  onerror: (() => void) | null;
  readonly close: () => void;
};

/** What begins or goes on. */
type Numbered = { readonly type: "snapshot" | "delta" };

export type LinkOptions<Message extends Numbered> = {
  readonly open: () => Socket;
  readonly clock: PageClock;
  readonly onState: (state: LinkState) => void;
  /** True asks for a fresh snapshot: the connection is made anew. */
  readonly onMessage: (message: Message, atSeconds: number) => boolean;
};

export type Link = {
  /** Tries at once instead of waiting out the pause: the network came back, the tab came to the front. */
  readonly hurry: () => void;
  readonly close: () => void;
};

/** A connection that says nothing for so long is dead, whatever the kernel's buffers believe, s. */
const SILENCE_SECONDS = 12;

function parseMessage<Message extends Numbered>(data: unknown): Message | null {
  if (typeof data !== "string") return null;
  try {
    const message = JSON.parse(data) as Message;
    return message.type === "snapshot" || message.type === "delta" ? message : null;
  } catch {
    return null;
  }
}

/** Opens the line; `close` ends it for good. */
export function openLink<Message extends Numbered>({ open, clock, onState, onMessage }: LinkOptions<Message>): Link {
  let socket: Socket | null = null;
  let attempt = 0;
  let ended = false;
  let cancelPause: Cancel | null = null;
  let cancelSilence: Cancel | null = null;

  const watchSilence = (): void => {
    cancelSilence?.();
    cancelSilence = clock.after(SILENCE_SECONDS, () => drop());
  };

  /** Lets go of the socket without waiting for its closing handshake, which a dead network never answers. */
  const drop = (): void => {
    cancelSilence?.();
    const dropped = socket;
    socket = null;
    if (dropped !== null) {
      dropped.onopen = dropped.onmessage = dropped.onclose = dropped.onerror = null;
      dropped.close();
    }
    if (ended) return;
    onState("waiting");
    cancelPause?.();
    cancelPause = clock.after(backoffSeconds(attempt, clock.chance()), connect);
    attempt += 1;
  };

  const connect = (): void => {
    cancelPause?.();
    cancelPause = null;
    if (ended || socket !== null) return;
    onState("connecting");
    const opening = open();
    socket = opening;
    watchSilence();
    opening.onopen = () => onState("open");
    opening.onclose = drop;
    opening.onerror = drop;
    opening.onmessage = (event) => {
      const message = parseMessage<Message>(event.data);
      if (message === null) return;
      watchSilence();
      if (message.type === "snapshot") attempt = 0;
      if (onMessage(message, clock.nowSeconds())) drop();
    };
  };

  connect();
  return {
    hurry: () => {
      if (socket === null) connect();
    },
    close: () => {
      ended = true;
      cancelPause?.();
      drop();
    },
  };
}
