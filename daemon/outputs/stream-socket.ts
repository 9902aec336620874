// A stream over WebSockets (RFC 6455), which is how pages read it. It takes no messages; who may come in, the door says.

import type { IncomingMessage, Server } from "node:http";
import type { Duplex } from "node:stream";
import { type WebSocket, WebSocketServer } from "ws";
import type { Audience, StreamReader, StreamText } from "./audience.ts";
import type { Door } from "./door.ts";
import { failRaw } from "./http-error.ts";

export const STREAM_PATH = "/api/v1/stream";
export const NO_PLACE = "all places of the stream, or all that one address may have, are taken";

/** Close codes of RFC 6455, section 7.4.1. */
const GOING_AWAY = 1001;
const POLICY_VIOLATION = 1008;

/** Takes over upgrade requests of a server; everything but `path` is refused. */
export function attachSockets(server: Server, path: string, audience: Audience, door: Pick<Door, "admit">): void {
  const sockets = new WebSocketServer({
    noServer: true,
    perMessageDeflate: false,
    maxPayload: 1024,
    clientTracking: false,
  });
  const upgrade = (request: IncomingMessage, socket: Duplex, head: Buffer): void => {
    if (request.url?.split("?", 1)[0] !== path) {
      failRaw(socket, "NOT_FOUND", "there is no stream at this address");
      return;
    }
    const admitted = door.admit(request);
    if (!("stillWelcome" in admitted)) failRaw(socket, ...admitted);
    else if (!audience.hasPlace(admitted.address)) failRaw(socket, "UNAVAILABLE", NO_PLACE);
    else {
      sockets.handleUpgrade(request, socket, head, (webSocket) => {
        const reader = new SocketReader(webSocket);
        webSocket.on("close", audience.join(reader, { ...admitted, held: null, whole: false }));
      });
    }
  };
  server.on("upgrade", upgrade);
}

class SocketReader implements StreamReader {
  readonly #socket: WebSocket;
  /** A dead reader hides in kernel buffers for long; only an answer proves that somebody reads. */
  #answered = true;

  constructor(socket: WebSocket) {
    this.#socket = socket;
    socket.on("pong", () => {
      this.#answered = true;
    });
    socket.on("message", () => socket.close(POLICY_VIOLATION, "the stream takes no messages"));
    socket.on("error", () => socket.terminate());
  }

  get waitingBytes(): number {
    return this.#socket.bufferedAmount;
  }

  send({ text }: StreamText): void {
    this.#socket.send(text);
  }

  probe(): boolean {
    if (!this.#answered) return false;
    this.#answered = false;
    this.#socket.ping();
    return true;
  }

  end(why: "stop" | "login ended"): void {
    if (why === "stop") this.#socket.close(GOING_AWAY, "the daemon stops");
    else this.#socket.close(POLICY_VIOLATION, "the login has ended");
  }

  cutOff(): void {
    this.#socket.terminate();
  }
}
