// Somebody at an address of their own (any of 127.0.0.0/8), who speaks to the proxy over TLS or to the daemon directly.

import { once } from "node:events";
import { readFileSync } from "node:fs";
import { type IncomingHttpHeaders, type IncomingMessage, request as requestPlain } from "node:http";
import { request as requestEncrypted } from "node:https";
import { WebSocket } from "ws";
import { CERTIFIED_NAME } from "../support/certificate.ts";

export type Heard = { readonly status: number; readonly headers: IncomingHttpHeaders; readonly text: string };
type Headers = Readonly<Record<string, string>>;
const SECONDS = 15;

export class Visitor {
  readonly address: string;
  /** What its browser has in the address bar, without the slash at the end. */
  readonly origin: string;
  readonly #port: number;
  readonly #ca: Buffer | null;
  /** Sent with everything from the login on. */
  cookie: string | null = null;

  /** `certificate` = the proxy's; null = straight to the daemon. */
  constructor(address: string, port: number, certificate: string | null) {
    this.address = address;
    this.#port = port;
    this.#ca = certificate === null ? null : readFileSync(certificate);
    this.origin = certificate === null ? `http://127.0.0.1:${port}` : `https://${CERTIFIED_NAME}:${port}`;
  }

  get #way(): Headers & { readonly localAddress: string; readonly host: string } {
    return { host: "127.0.0.1", localAddress: this.address };
  }

  #headers(more: Headers): Headers {
    return { Host: new URL(this.origin).host, ...(this.cookie === null ? {} : { Cookie: this.cookie }), ...more };
  }

  /** The answer with its body still to come. */
  async open(method: string, path: string, headers: Headers = {}, body?: string): Promise<IncomingMessage> {
    const options = { ...this.#way, port: this.#port, method, path, headers: this.#headers(headers), agent: false };
    const asked =
      this.#ca === null
        ? requestPlain(options)
        : requestEncrypted({ ...options, ca: this.#ca, servername: CERTIFIED_NAME });
    asked.end(body);
    const [response] = (await once(asked, "response", { signal: AbortSignal.timeout(SECONDS * 1000) })) as [
      IncomingMessage,
    ];
    return response;
  }

  async ask(method: string, path: string, headers: Headers = {}, body?: string): Promise<Heard> {
    const response = await this.open(method, path, headers, body);
    let text = "";
    for await (const chunk of response) text += String(chunk);
    return { status: response.statusCode ?? 0, headers: response.headers, text };
  }

  /** As the page does it: JSON, with the page's own Origin. */
  post(path: string, body: unknown, headers: Headers = {}): Promise<Heard> {
    const usual = { "Content-Type": "application/json", Origin: this.origin };
    return this.ask("POST", path, { ...usual, ...headers }, JSON.stringify(body));
  }

  /** Keeps the cookie when the password was right. */
  async logIn(as: string, password: string, headers: Headers = {}): Promise<Heard> {
    const heard = await this.post("/api/v1/access/login", { as, password }, headers);
    if (heard.status === 200) this.cookie = heard.headers["set-cookie"]?.[0]?.split(";")[0] ?? null;
    return heard;
  }

  /** The stream, once it is open, or the status of its refusal. */
  async stream(headers: Headers = {}): Promise<WebSocket | number> {
    const scheme = this.#ca === null ? "ws" : "wss";
    const socket = new WebSocket(`${scheme}://127.0.0.1:${this.#port}/api/v1/stream`, {
      localAddress: this.address,
      headers: this.#headers(headers),
      ...(this.#ca === null ? {} : { ca: this.#ca, servername: CERTIFIED_NAME }),
    });
    socket.on("error", () => {});
    return Promise.race([
      once(socket, "open").then(() => socket),
      once(socket, "unexpected-response").then(([, response]) => (response as IncomingMessage).statusCode ?? 0),
    ]);
  }
}
