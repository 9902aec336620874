// The season over HTTP: its review, and the spans an operator marks. It checks what is asked; it never computes and never decides.

import express, { type Request, type Response, Router } from "express";
import { SESSION_KINDS, type SeasonReview, type Session, type SessionKind } from "../wire/season.ts";
import type { Guard } from "./guard.ts";
import { fail, mayChange } from "./http-error.ts";

/** A review of a span of wall time, days by a fixed offset. */
export type SeasonQuery = {
  readonly fromSeconds: number;
  readonly toSeconds: number;
  readonly utcOffsetSeconds: number;
};

/** What the routes ask of the log. Each throws when the log cannot be used. */
export type SeasonSources = {
  readonly review: (query: SeasonQuery) => SeasonReview;
  readonly sessions: () => readonly Session[];
  /** @throws RangeError when there are too many */
  readonly mark: (session: Omit<Session, "id">) => Session;
  readonly remove: (id: number) => boolean;
};

const LONGEST_SPAN_SECONDS = 370 * 86_400;
const LONGEST_SESSION_SECONDS = 31 * 86_400;
const LONGEST_NAME = 80;
const MOST_OFFSET_HOURS = 14;
const BODY_BYTES = "2kb";

type Bad = { readonly bad: string };

/** Below /api/v1/season. */
export function seasonRoutes(sources: SeasonSources, guard: Guard, nowSeconds: () => number): Router {
  const router = Router();
  router.get("/", (request, response) => {
    const query = parseQuery(request.query, nowSeconds());
    if ("bad" in query) fail(response, "BAD_REQUEST", query.bad);
    else answer(response, () => response.json(sources.review(query)));
  });
  router.get("/sessions", (_request, response) => {
    answer(response, () => response.json(sources.sessions()));
  });
  router.post("/sessions", express.json({ limit: BODY_BYTES }), (request, response) => {
    if (!mayChange(guard, request, response)) return;
    if (!request.is("application/json")) {
      fail(response, "MEDIA_TYPE", "Content-Type: expected application/json");
      return;
    }
    const session = parseSession(request);
    if ("bad" in session) fail(response, "BAD_REQUEST", session.bad);
    else answer(response, () => response.status(201).json(sources.mark(session)));
  });
  router.delete("/sessions/:id", (request, response) => {
    if (!mayChange(guard, request, response)) return;
    const id = Number(request.params.id);
    answer(response, () => {
      if (Number.isSafeInteger(id) && sources.remove(id)) response.status(204).end();
      else fail(response, "NOT_FOUND", "there is no such session");
    });
  });
  return router;
}

function answer(response: Response, give: () => void): void {
  try {
    give();
  } catch (error) {
    const text = error instanceof Error ? error.message : String(error);
    if (error instanceof RangeError) fail(response, "BAD_REQUEST", text);
    else fail(response, "UNAVAILABLE", `the log cannot be used: ${text}`);
  }
}

/** Without `from` the last year, without `to` until now; `utc_offset_hours` is a whole number from -14 to 14. */
export function parseQuery(query: Readonly<Record<string, unknown>>, nowSeconds: number): SeasonQuery | Bad {
  const unknown = Object.keys(query).find((key) => !["from", "to", "utc_offset_hours"].includes(key));
  if (unknown !== undefined) return { bad: `${unknown}: expected only from, to, utc_offset_hours` };
  const numberOf = (name: string, otherwise: number): number => {
    const text = query[name];
    if (text === undefined) return otherwise;
    return typeof text === "string" && text.trim() !== "" ? Number(text) : Number.NaN;
  };
  const toSeconds = numberOf("to", nowSeconds);
  const fromSeconds = numberOf("from", toSeconds - 365 * 86_400);
  const span = toSeconds - fromSeconds;
  if (!(span > 0 && span <= LONGEST_SPAN_SECONDS)) {
    return { bad: `from, to: expected Unix seconds, from before to by at most 370 days` };
  }
  const hours = numberOf("utc_offset_hours", 0);
  if (!(Number.isInteger(hours) && Math.abs(hours) <= MOST_OFFSET_HOURS)) {
    return { bad: `utc_offset_hours: expected a whole number from -14 to 14` };
  }
  return { fromSeconds, toSeconds, utcOffsetSeconds: hours * 3_600 };
}

function parseSession(request: Request): Omit<Session, "id"> | Bad {
  const { kind, name, from_seconds, to_seconds } = (request.body ?? {}) as {
    readonly [key in keyof Session]?: unknown;
  };
  if (!SESSION_KINDS.some((known) => known === kind))
    return { bad: `kind: expected one of ${SESSION_KINDS.join(", ")}` };
  if (typeof name !== "string" || name.trim() === "" || name.length > LONGEST_NAME) {
    return { bad: `name: expected 1 to ${LONGEST_NAME} characters` };
  }
  if (typeof from_seconds !== "number" || typeof to_seconds !== "number") {
    return { bad: "from_seconds, to_seconds: expected Unix seconds" };
  }
  const span = to_seconds - from_seconds;
  if (!(span > 0 && span <= LONGEST_SESSION_SECONDS)) {
    return { bad: "from_seconds, to_seconds: expected a span above 0 and of at most 31 days" };
  }
  return { kind: kind as SessionKind, name: name.trim(), from_seconds, to_seconds };
}
