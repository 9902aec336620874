// Everybody who follows one WebSocket stream: let in at the door, a snapshot first, then numbered texts. A slow client skips some and
// gets a fresh snapshot, a dead one is ended, none holds up another. It does not know what the texts say.

import type { IncomingMessage, Server } from "node:http";
import type { Duplex } from "node:stream";
import { type WebSocket, WebSocketServer } from "ws";
import type { Cancel, Clock } from "../../hardware/ports.ts";
import type { Door } from "./door.ts";
import { failRaw } from "./http-error.ts";

export type AudienceOptions = {
  readonly path: string;
  /** The machine's clock. */
  readonly clock: Clock;
  readonly door: Pick<Door, "admit">;
  readonly mostClients: number;
  /** Bytes that may wait for one client; beyond, it is skipped until it has caught up. */
  readonly backlogBytes: number;
  /** Everything as it stands under this number; null while there is nothing yet. */
  readonly snapshot: (sequence: number) => string | null;
};

/** A client that answers no ping within this time is ended. */
const PING_SECONDS = 10;
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

export class Audience {
  readonly #options: AudienceOptions;
  readonly #server: WebSocketServer;
  readonly #clients = new Set<Client>();
  #sequence = 0;
  #pendingPing: Cancel;
  #refused = 0;

  constructor(options: AudienceOptions) {
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

  /** Takes over upgrade requests of a server; everything but the stream's path is refused. */
  attach(server: Server): void {
    server.on("upgrade", (request, socket, head) => this.#upgrade(request, socket, head));
  }

  /** One text under the next number serves all who have the one before; null, and whoever lags, gets a snapshot. */
  send(textOf: (sequence: number) => string | null): void {
    this.#sequence += 1;
    const text = textOf(this.#sequence);
    for (const client of this.#clients) {
      if (this.#isStalled(client)) continue;
      if (text !== null && client.sequence === this.#sequence - 1) {
        client.socket.send(text);
        client.sequence = this.#sequence;
      } else this.#welcomeText(client);
    }
  }

  /** Ends the streams of those who may look no longer: a login that ended, a password or token that was withdrawn. */
  review(): void {
    for (const { socket, stillWelcome } of this.#clients) {
      if (!stillWelcome()) socket.close(POLICY_VIOLATION, "the login has ended");
    }
  }

  /** Says goodbye to every client. */
  close(): void {
    this.#pendingPing();
    for (const { socket } of this.#clients) socket.close(GOING_AWAY, "the daemon stops");
    this.#server.close();
  }

  #upgrade(request: IncomingMessage, socket: Duplex, head: Buffer): void {
    const { door, mostClients, path } = this.#options;
    if (request.url?.split("?", 1)[0] !== path) {
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
    this.#welcomeText(client);
  }

  #welcomeText(client: Client): void {
    const text = this.#options.snapshot(this.#sequence);
    if (text === null) return;
    client.socket.send(text);
    client.sequence = this.#sequence;
  }

  #isStalled(client: Client): boolean {
    if (client.socket.bufferedAmount <= this.#options.backlogBytes) {
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
