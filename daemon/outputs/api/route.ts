// A route of the HTTP interface with its description beside it, so that neither can be without the other: an address, what is
// asked, what is answered, and who answers. `mountRoutes` puts them on a server; the document of the interface is made from the same list.

import express, { type Request, type RequestHandler, type Response, type Router } from "express";
import type { Right } from "../../access/caller.ts";
import { fail, type HttpErrorCode } from "../http-error.ts";
import type { SchemaName } from "./schemas.ts";

/** A schema of JSON Schema 2020-12, which is that of OpenAPI 3.1. */
export type JsonSchema = Readonly<Record<string, unknown>>;

export type Parameter = {
  readonly name: string;
  readonly in: "path" | "query";
  readonly description: string;
  readonly schema: JsonSchema;
  /** Sent by the tests as it stands here. */
  readonly example: string | number;
};

export type Body = {
  readonly schema: JsonSchema;
  /** Above it the request is refused, e.g. `2kb`. */
  readonly limit: string;
  /** Each is sent by the tests as it stands here. */
  readonly examples: { readonly [name: string]: unknown };
};

/** One kind of answer that is no error. */
export type Answer = {
  readonly description: string;
  /** Media type → schema; a name is one of the document's own. Empty: no body. */
  readonly content: { readonly [type: string]: SchemaName | JsonSchema };
};

export type Route = {
  readonly method: "get" | "post" | "delete";
  /** As OpenAPI writes it: `/api/v1/season/sessions/{id}`. */
  readonly path: string;
  /** A name for generated clients; no two are the same. */
  readonly operation: string;
  readonly tag: "state" | "season" | "commands" | "heat run" | "access" | "health";
  readonly summary: string;
  readonly description?: string;
  readonly parameters?: readonly Parameter[];
  readonly body?: Body;
  readonly answers: { readonly [status: number]: Answer };
  /** Beside those that any request may meet. */
  readonly errors: readonly HttpErrorCode[];
  /** What the asker must be allowed; null: everybody. Left out: to read for `get`, to operate for the others. */
  readonly right?: Right | null;
  readonly handle: (request: Request, response: Response) => unknown;
};

/** An answer as JSON. */
export function json(schema: SchemaName | JsonSchema, description: string): Answer {
  return { description, content: { "application/json": schema } };
}

/** What any request may meet: another's host name or page, a parameter that there is not, a failure in the daemon. */
export const COMMON_ERRORS: readonly HttpErrorCode[] = ["BAD_REQUEST", "FORBIDDEN", "INTERNAL"];

/** What a body may meet besides. */
export const BODY_ERRORS: readonly HttpErrorCode[] = ["TOO_LARGE", "MEDIA_TYPE"];

/** The right that a route needs; null: none. */
export function rightOf({ right, method }: Route): Right | null {
  return right === undefined ? (method === "get" ? "read" : "operate") : right;
}

/**
 * Puts `routes` on `router`, each behind what `keep` makes of its right; each address answers other methods with what it takes.
 */
export function mountRoutes(
  router: Router,
  routes: readonly Route[],
  keep: (right: Right | null) => RequestHandler,
): void {
  const methods = new Map<string, string[]>();
  for (const route of routes) {
    const path = route.path.replaceAll(/\{(\w+)\}/g, ":$1");
    router[route.method](path, keep(rightOf(route)), ...stepsOf(route));
    methods.set(path, [
      ...(methods.get(path) ?? []),
      ...(route.method === "get" ? ["GET", "HEAD"] : [route.method.toUpperCase()]),
    ]);
  }
  for (const [path, allowed] of methods) {
    router.route(path).all((_request, response) => {
      response.set("Allow", allowed.join(", "));
      fail(response, "METHOD", `method: expected ${allowed.join(" or ")}`);
    });
  }
}

function stepsOf({ parameters = [], body, handle }: Route): RequestHandler[] {
  const known = parameters.filter((parameter) => parameter.in === "query").map(({ name }) => name);
  const steps: RequestHandler[] = [
    (request, response, next) => {
      const unknown = Object.keys(request.query).find((name) => !known.includes(name));
      if (unknown !== undefined) {
        const expected = known.length === 0 ? "no parameters" : `only ${known.join(", ")}`;
        fail(response, "BAD_REQUEST", `${unknown.slice(0, 40)}: expected ${expected}, got ${unknown.slice(0, 40)}`);
      } else if (body !== undefined && !request.is("application/json")) {
        fail(response, "MEDIA_TYPE", "Content-Type: expected application/json");
      } else next();
    },
  ];
  if (body !== undefined) steps.push(express.json({ limit: body.limit }));
  steps.push(async (request, response) => {
    await handle(request, response);
  });
  return steps;
}
