// Login, logout and "who am I" over HTTP. It reads requests and sets cookies; whether a password is right is not its business.

import type { Response } from "express";
import type { Credentials } from "../access/caller.ts";
import type { Login } from "../access/gate.ts";
import { type Access, LONGEST_PASSWORD, ROLES, type Role } from "../wire/access.ts";
import { type Body, json, type Route } from "./api/route.ts";
import { sessionCookie } from "./cookie.ts";
import { type Callers, type Visitor, visitorOf } from "./door.ts";
import { fail } from "./http-error.ts";

/** The part of the gate that is asked here. */
export type Logins = Callers & {
  readonly login: (role: Role, password: string, from: Pick<Credentials, "address" | "local">) => Promise<Login>;
  readonly logout: (secret: string, everywhere: boolean, address: string) => void;
};

/** Said to whoever asks again too soon. */
const BUSY_SECONDS = 2;

const LOGIN_BODY: Body = {
  limit: "2kb",
  schema: {
    type: "object",
    properties: { as: { enum: ROLES }, password: { type: "string", minLength: 1, maxLength: LONGEST_PASSWORD } },
    required: ["as", "password"],
    additionalProperties: false,
  },
  examples: { operator: { as: "operator", password: "not the password" } },
};

const LOGOUT_BODY: Body = {
  limit: "2kb",
  schema: {
    type: "object",
    properties: { everywhere: { type: "boolean", description: "all logins of this role" } },
    required: ["everywhere"],
    additionalProperties: false,
  },
  examples: { here: { everywhere: false }, everywhere: { everywhere: true } },
};

/** Below /api/v1/access. */
export function accessRoutes(gate: Logins): readonly Route[] {
  return [
    {
      method: "get",
      path: "/api/v1/access",
      operation: "readAccess",
      tag: "access",
      summary: "Who the asker is taken for, what they may, and which passwords are set",
      answers: { 200: json("Access", "As it is now") },
      errors: [],
      right: null,
      handle: (_request, response) => response.json(accessOf(gate, visitorOf(response))),
    },
    {
      method: "post",
      path: "/api/v1/access/login",
      operation: "logIn",
      tag: "access",
      summary: "Log in with a password; the answer sets the session's cookie",
      description:
        "A password that is not set is answered as a wrong one. Tries are limited for each address and for all together.",
      body: LOGIN_BODY,
      answers: {
        200: json(
          { type: "object", properties: { logged_in: { enum: ROLES } }, required: ["logged_in"] },
          "The session is open",
        ),
      },
      errors: ["UNAUTHORIZED", "TOO_MANY", "UNAVAILABLE"],
      right: null,
      handle: async (request, response) => {
        const asked = parseLogin(request.body);
        if (typeof asked === "string") return fail(response, "BAD_REQUEST", asked);
        const { peer, session } = visitorOf(response);
        return answerLogin(response, await gate.login(asked.as, asked.password, peer), peer.secure, () => {
          // An id that came with the request is never taken over: it ends, and a fresh one is given.
          if (session !== null) gate.logout(session, false, peer.address);
        });
      },
    },
    {
      method: "post",
      path: "/api/v1/access/logout",
      operation: "logOut",
      tag: "access",
      summary: "End this session, or all of its role",
      body: LOGOUT_BODY,
      answers: { 204: { description: "It has ended, if there was one", content: {} } },
      errors: [],
      right: null,
      handle: (request, response) => {
        const { everywhere, ...rest } = (request.body ?? {}) as { readonly everywhere?: unknown };
        const stranger = Object.keys(rest)[0];
        if (stranger !== undefined || typeof everywhere !== "boolean") {
          return fail(response, "BAD_REQUEST", "everywhere: expected true or false, and nothing else");
        }
        const { peer, session } = visitorOf(response);
        if (session !== null) gate.logout(session, everywhere, peer.address);
        return response.set("Set-Cookie", sessionCookie(null, peer.secure)).status(204).end();
      },
    },
  ];
}

function accessOf(gate: Callers, { peer, caller }: Visitor): Access {
  const { operator, viewer, locked } = gate.standing;
  return {
    logged_in: caller.role,
    may: {
      read: caller.rights.has("read"),
      acknowledge: caller.rights.has("acknowledge"),
      operate: caller.rights.has("operate"),
    },
    operator_password: operator,
    viewer_password: viewer,
    locked,
    encrypted: peer.secure,
    local: peer.local,
  };
}

function answerLogin(response: Response, login: Login, secure: boolean, endOld: () => void): void {
  switch (login.kind) {
    case "in":
      endOld();
      response.set("Set-Cookie", sessionCookie(login.secret, secure)).json({ logged_in: login.role });
      return;
    case "wrong":
      response.set("WWW-Authenticate", 'Bearer realm="emberwire"');
      fail(response, "UNAUTHORIZED", "this is not the password");
      return;
    case "wait":
      response.set("Retry-After", String(login.seconds));
      fail(response, "TOO_MANY", `too many tries: wait ${login.seconds} s`);
      return;
    case "busy":
      response.set("Retry-After", String(BUSY_SECONDS));
      fail(response, "UNAVAILABLE", "others are logging in just now: try again");
      return;
  }
}

function parseLogin(body: unknown): { readonly as: Role; readonly password: string } | string {
  const { as, password, ...rest } = (typeof body === "object" && body !== null ? body : {}) as {
    readonly as?: unknown;
    readonly password?: unknown;
  };
  if (Object.keys(rest).length > 0) return "body: expected only as, password";
  const role = ROLES.find((known) => known === as);
  if (role === undefined) return `as: expected one of ${ROLES.join(", ")}`;
  if (typeof password !== "string" || password === "" || password.length > LONGEST_PASSWORD) {
    return `password: expected 1 to ${LONGEST_PASSWORD} characters`;
  }
  return { as: role, password };
}
