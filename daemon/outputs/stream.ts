// The WebSocket stream: a snapshot first, then numbered deltas; the newest frame wins over every older one.
// Dumb and bounded: a slow client skips frames and gets a fresh snapshot, a dead one is ended, none holds up another.

import type { IncomingMessage, Server } from "node:http";
import type { Duplex } from "node:stream";
import { type WebSocket, WebSocketServer } from "ws";
import type { Cancel, Clock } from "../../hardware/ports.ts";
import { diffFrames } from "../wire/delta.ts";
import type { About, Frame, ServerMessage } from "../wire/frame.ts";
import type { Door } from "./door.ts";
import { failRaw } from "./http-error.ts";

export const STREAM_PATH = "/api/v1/stream";

export type StreamOptions = {
  readonly about: About;
  /** The machine's clock. */
  readonly clock: Clock;
  readonly door: Pick<Door, "admit">;
  readonly mostClients: number;
};

/** At most five frames a second, whatever the speed of a simulated feedpoint. */
const FRAME_SECONDS = 0.2;
/** A client that answers no ping within this time is ended. */
const PING_SECONDS = 10;
/** Bytes that may wait for one client; beyond, it is skipped until it has caught up. */
const BACKLOG_BYTES = 64 * 1024;
/** A client that has not caught up after this time is ended. */
const STALL_SECONDS = 30;

type Client = {
  readonly socket: WebSocket;
  readonly stillWelcome: () => boolean;
  /** Sequence of the frame it has; null before its snapshot. */
  sequence: number | null;
  answered: boolean;
  stalledSince: number | null;
};

/** Close codes of RFC 6455, section 7.4.1. */
const GOING_AWAY = 1001;
const POLICY_VIOLATION = 1008;

export class Stream {
  readonly #options: StreamOptions;
  readonly #server: WebSocketServer;
  readonly #clients = new Set<Client>();
  #sent: Frame | null = null;
  #newest: Frame | null = null;
  #sequence = 0;
  #pendingFlush: Cancel | null = null;
  #pendingPing: Cancel;
  #refused = 0;

  constructor(options: StreamOptions) {
    if (!Number.isSafeInteger(options.mostClients) || options.mostClients < 1) {
      throw new RangeError("stream: mostClients must be a whole number above 0");
    }
    this.#options = options;
    this.#server = new WebSocketServer({
      noServer: true,
      perMessageDeflate: false,
      maxPayload: 1024,
      clientTracking: false,
    });
    this.#pendingPing = options.clock.after(PING_SECONDS, () => this.#ping());
  }

  get clients(): number {
    return this.#clients.size;
  }

  /** Clients turned away because all places were taken. */
  get refused(): number {
    return this.#refused;
  }

  get latest(): Frame | null {
    return this.#newest;
  }

  /** Takes over upgrade requests of a server; everything but the stream's path is refused. */
  attach(server: Server): void {
    server.on("upgrade", (request, socket, head) => this.#upgrade(request, socket, head));
  }

  /** The newest frame; it is sent at once or, when one was sent just now, a moment later. */
  publish(frame: Frame): void {
    this.#newest = frame;
    if (this.#pendingFlush !== null) return;
    this.#flush();
    this.#pendingFlush = this.#options.clock.after(FRAME_SECONDS, () => {
      this.#pendingFlush = null;
      if (this.#newest !== this.#sent && this.#newest !== null) this.publish(this.#newest);
    });
  }

  /** Ends the streams of those who may look no longer: a login that ended, a password or token that was withdrawn. */
  review(): void {
    for (const { socket, stillWelcome } of this.#clients) {
      if (!stillWelcome()) socket.close(POLICY_VIOLATION, "the login has ended");
    }
  }

  /** Says goodbye to every client. */
  close(): void {
    this.#pendingFlush?.();
    this.#pendingPing();
    for (const { socket } of this.#clients) socket.close(GOING_AWAY, "the daemon stops");
    this.#server.close();
  }

  #upgrade(request: IncomingMessage, socket: Duplex, head: Buffer): void {
    const { door, mostClients } = this.#options;
    if (request.url?.split("?", 1)[0] !== STREAM_PATH) {
      failRaw(socket, "NOT_FOUND", "there is no stream at this address");
      return;
    }
    const admitted = door.admit(request);
    if (!("stillWelcome" in admitted)) failRaw(socket, ...admitted);
    else if (this.#clients.size >= mostClients) {
      this.#refused += 1;
      failRaw(socket, "UNAVAILABLE", `all ${mostClients} places of the stream are taken`);
    } else {
      const { stillWelcome } = admitted;
      this.#server.handleUpgrade(request, socket, head, (webSocket) => this.#welcome(webSocket, stillWelcome));
    }
  }

  #welcome(socket: WebSocket, stillWelcome: () => boolean): void {
    const client: Client = { socket, stillWelcome, sequence: null, answered: true, stalledSince: null };
    this.#clients.add(client);
    socket.on("pong", () => {
      client.answered = true;
    });
    socket.on("message", () => socket.close(POLICY_VIOLATION, "the stream takes no messages"));
    socket.on("error", () => socket.terminate());
    socket.on("close", () => this.#clients.delete(client));
    if (this.#sent !== null) this.#snapshot(client, this.#sent);
  }

  #flush(): void {
    const before = this.#sent;
    const frame = this.#newest;
    if (frame === null) return;
    this.#sequence += 1;
    this.#sent = frame;
    // One text serves all clients that have the frame before.
    const text =
      before === null ? null : encode({ type: "delta", sequence: this.#sequence, delta: diffFrames(before, frame) });
    for (const client of this.#clients) {
      if (this.#isStalled(client)) continue;
      if (text !== null && client.sequence === this.#sequence - 1) {
        client.socket.send(text);
        client.sequence = this.#sequence;
      } else this.#snapshot(client, frame);
    }
  }

  #snapshot(client: Client, frame: Frame): void {
    const { about } = this.#options;
    client.socket.send(encode({ type: "snapshot", sequence: this.#sequence, about, frame }));
    client.sequence = this.#sequence;
  }

  #isStalled(client: Client): boolean {
    if (client.socket.bufferedAmount <= BACKLOG_BYTES) {
      client.stalledSince = null;
      return false;
    }
    const now = this.#options.clock.monotonicSeconds();
    client.stalledSince ??= now;
    if (now - client.stalledSince > STALL_SECONDS) client.socket.terminate();
    return true;
  }

  /** A dead reader hides in kernel buffers for long; only an answer proves that somebody reads. */
  #ping(): void {
    this.review();
    for (const client of this.#clients) {
      if (!client.answered) client.socket.terminate();
      else {
        client.answered = false;
        client.socket.ping();
      }
    }
    this.#pendingPing = this.#options.clock.after(PING_SECONDS, () => this.#ping());
  }
}

function encode(message: ServerMessage): string {
  return JSON.stringify(message);
}
