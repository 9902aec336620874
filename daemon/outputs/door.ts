// What every request passes before anything else sees it: the names of this machine, the page it comes from, who sends it and
// what they may. It answers refusals and decides nothing of what is asked.

import type { IncomingMessage } from "node:http";
import type { RequestHandler, Response } from "express";
import type { Caller, Credentials, Right, Standing } from "../access/caller.ts";
import { readSession } from "./cookie.ts";
import type { Guard } from "./guard.ts";
import { fail, type HttpErrorCode } from "./http-error.ts";
import type { Peer } from "./peer.ts";

/** The part of the gate that is asked here. */
export type Callers = {
  readonly standing: Standing;
  readonly caller: (credentials: Credentials) => Caller;
};

export type Visitor = { readonly peer: Peer; readonly session: string | null; readonly caller: Caller };
export type Refusal = readonly [code: HttpErrorCode, detail: string];

/** One who may have the stream: where it is sent to, and a question to be asked again while it lasts. */
export type Admitted = { readonly address: string; readonly stillWelcome: () => boolean };

export type DoorOptions = {
  readonly guard: Guard;
  readonly callers: Callers;
  readonly peerOf: (request: IncomingMessage) => Peer;
};

/** Browsers and proxies send some twenty. */
const MOST_HEADERS = 100;
const SAFE_METHODS: ReadonlySet<string> = new Set(["GET", "HEAD"]);

export class Door {
  readonly #options: DoorOptions;

  constructor(options: DoorOptions) {
    this.#options = options;
  }

  peerOf(request: IncomingMessage): Peer {
    return this.#options.peerOf(request);
  }

  /** Why a request is refused before anybody asks who sent it: several Hosts, a crowd of headers, a name not ours; null otherwise. */
  strange(request: IncomingMessage, peer: Peer): Refusal | null {
    // RFC 9112, section 3.2. Node takes the first of two, a proxy before it might take the other.
    if ((request.headersDistinct["host"]?.length ?? 0) > 1) return ["BAD_REQUEST", "Host: expected one, got several"];
    if (request.rawHeaders.length / 2 > MOST_HEADERS) {
      return ["HEADERS_TOO_LARGE", `headers: expected ${MOST_HEADERS} at most, got more`];
    }
    if (this.#options.guard.knowsHost(peer.host)) return null;
    return ["FORBIDDEN", "this machine is not known under that name; add it to listen.names"];
  }

  /** Stands before an address that needs `right`; null: everybody may ask there, but not on a stranger's behalf. */
  keep(right: Right | null): RequestHandler {
    return (request, response, next) => {
      const visitor = this.#visitor(request);
      response.locals["visitor"] = visitor;
      const refusal = this.#foreign(request, visitor) ?? (right === null ? null : this.refused(visitor.caller, right));
      if (refusal === null) next();
      else refuse(response, refusal);
    };
  }

  /** A page or program that wants the stream: why it may not have it, or what is to be known of it. */
  admit(request: IncomingMessage): Refusal | Admitted {
    const visitor = this.#visitor(request);
    const { guard } = this.#options;
    const refusal: Refusal | null =
      this.strange(request, visitor.peer) ??
      (fromElsewhere(request) || !guard.knowsOrigin(request.headers.origin, visitor.peer.host)
        ? ["FORBIDDEN", "the stream is for this daemon's own page and for programs that use its name"]
        : null) ??
      this.refused(visitor.caller, "read");
    if (refusal !== null) return refusal;
    const { address } = visitor.peer;
    return { address, stillWelcome: () => this.#visitor(request).caller.rights.has("read") };
  }

  /** Why this caller may not; null when they may. */
  refused(caller: Caller, right: Right): Refusal | null {
    if (caller.refused) return ["UNAUTHORIZED", "the token is not known, or was withdrawn"];
    if (caller.rights.has(right)) return null;
    const { operator, locked } = this.#options.callers.standing;
    if (locked) return ["UNAVAILABLE", "the file with the passwords cannot be read; the record says why"];
    if (caller.role !== null) return ["FORBIDDEN", `the ${caller.role} may look, not change anything`];
    if (caller.rights.size > 0 && caller.who !== "guest")
      return ["FORBIDDEN", `the ${caller.who} has no right to that`];
    if (operator)
      return ["UNAUTHORIZED", right === "read" ? "a login is needed to look" : "an operator login is needed"];
    return ["FORBIDDEN", "only this machine may do that until an operator password is set: emberwire set-password"];
  }

  #visitor(request: IncomingMessage): Visitor {
    const peer = this.peerOf(request);
    const session = readSession(request.headers.cookie, peer.secure);
    const bearer = /^Bearer +(\S{1,200})$/i.exec(request.headers.authorization ?? "")?.[1] ?? null;
    const { address, local, near } = peer;
    const caller = this.#options.callers.caller({ address, local, near, session, bearer });
    return { peer, session, caller };
  }

  /** Requests that a page of somebody else made a browser send, with or without our cookie. */
  #foreign(request: IncomingMessage, { peer, session }: Visitor): Refusal | null {
    const { origin } = request.headers;
    const site = request.headers["sec-fetch-site"];
    if (fromElsewhere(request)) return ["FORBIDDEN", "a page of another site sent this"];
    if (SAFE_METHODS.has(request.method ?? "")) return null;
    const ours = this.#options.guard.knowsOrigin(origin, peer.host) && (site === undefined || site === "same-origin");
    // A browser says where a change comes from; a cookie without that word is not from our page.
    const said = origin !== undefined || site !== undefined || session === null;
    if (!ours || !said) return ["FORBIDDEN", "commands are taken from this daemon's own page only"];
    return null;
  }
}

/** Fetch Metadata (W3C): browsers say whose page asks. */
function fromElsewhere(request: IncomingMessage): boolean {
  const site = request.headers["sec-fetch-site"];
  return site !== undefined && site !== "same-origin" && site !== "none";
}

/** Who sent this request, once the door has let it in. */
export function visitorOf(response: Response): Visitor {
  return response.locals["visitor"] as Visitor;
}

/** Answers a refusal and ends the answer. */
export function refuse(response: Response, [code, detail]: Refusal): void {
  // RFC 9110, section 15.5.2: 401 says how one may come in.
  if (code === "UNAUTHORIZED") response.set("WWW-Authenticate", 'Bearer realm="emberwire"');
  fail(response, code, detail);
}
