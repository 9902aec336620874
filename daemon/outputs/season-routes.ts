// The season over HTTP: its review, and the spans an operator marks. It checks what is asked; it never computes and never decides.

import type { Request, Response } from "express";
import { SESSION_KINDS, type SeasonReview, type Session, type SessionKind } from "../wire/season.ts";
import { type Body, json, type Parameter, type Route } from "./api/route.ts";
import { visitorOf } from "./door.ts";
import { fail } from "./http-error.ts";
import type { Note } from "./note.ts";

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

type Bad = { readonly bad: string };

const time = (name: string, description: string): Parameter => ({
  name,
  in: "query",
  description,
  schema: { type: "number" },
  example: name === "from" ? 1_790_000_000 : 1_792_592_000,
});

const REVIEW_PARAMETERS: readonly Parameter[] = [
  time("from", "Unix seconds; a year before `to` when left out, at most 370 days before it."),
  time("to", "Unix seconds; now when left out."),
  {
    name: "utc_offset_hours",
    in: "query",
    description: "Where days begin: hours east of UTC.",
    schema: { type: "integer", minimum: -MOST_OFFSET_HOURS, maximum: MOST_OFFSET_HOURS, default: 0 },
    example: 2,
  },
];

const SESSION_BODY: Body = {
  limit: "2kb",
  schema: {
    type: "object",
    properties: {
      kind: { enum: SESSION_KINDS },
      name: { type: "string", pattern: "\\S", maxLength: LONGEST_NAME },
      from_seconds: { type: "number" },
      to_seconds: { type: "number", description: "after from_seconds, by at most 31 days" },
    },
    required: ["kind", "name", "from_seconds", "to_seconds"],
    additionalProperties: false,
  },
  examples: {
    contest: { kind: "contest", name: "autumn contest", from_seconds: 1_790_000_000, to_seconds: 1_790_086_400 },
  },
};

/** Below /api/v1/season. */
export function seasonRoutes(sources: SeasonSources, note: Note, nowSeconds: () => number): readonly Route[] {
  return [
    {
      method: "get",
      path: "/api/v1/season",
      operation: "reviewSeason",
      tag: "season",
      summary: "The review of a span: days, bands, thermal cycles, wear, sessions, notes",
      parameters: REVIEW_PARAMETERS,
      answers: { 200: json("SeasonReview", "The review") },
      errors: ["UNAVAILABLE"],
      handle: (request, response) => {
        const query = parseQuery(request.query, nowSeconds());
        if ("bad" in query) fail(response, "BAD_REQUEST", query.bad);
        else answer(response, () => response.json(sources.review(query)));
      },
    },
    {
      method: "get",
      path: "/api/v1/season/sessions",
      operation: "listSessions",
      tag: "season",
      summary: "The spans that an operator has marked",
      answers: { 200: json({ type: "array", items: { $ref: "#/components/schemas/Session" } }, "All of them") },
      errors: ["UNAVAILABLE"],
      handle: (_request, response) => answer(response, () => response.json(sources.sessions())),
    },
    {
      method: "post",
      path: "/api/v1/season/sessions",
      operation: "markSession",
      tag: "season",
      summary: "Mark a span",
      body: SESSION_BODY,
      answers: { 201: json("Session", "The span with its id") },
      errors: ["UNAVAILABLE"],
      handle: (request, response) => {
        const session = parseSession(request);
        if ("bad" in session) fail(response, "BAD_REQUEST", session.bad);
        else {
          answer(response, () => {
            response.status(201).json(sources.mark(session));
            note("session-marked", `${session.kind} "${session.name}"`, visitorOf(response).caller);
          });
        }
      },
    },
    {
      method: "delete",
      path: "/api/v1/season/sessions/{id}",
      operation: "removeSession",
      tag: "season",
      summary: "Remove the mark from a span; its data stay",
      parameters: [
        { name: "id", in: "path", description: "The span's id.", schema: { type: "integer", minimum: 1 }, example: 1 },
      ],
      answers: { 204: { description: "It is removed", content: {} } },
      errors: ["NOT_FOUND", "UNAVAILABLE"],
      handle: (request, response) => {
        const id = Number(request.params["id"]);
        answer(response, () => {
          if (Number.isSafeInteger(id) && sources.remove(id)) {
            response.status(204).end();
            note("session-removed", `number ${id}`, visitorOf(response).caller);
          } else fail(response, "NOT_FOUND", "there is no such session");
        });
      },
    },
  ];
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
function parseQuery(query: Readonly<Record<string, unknown>>, nowSeconds: number): SeasonQuery | Bad {
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
  const { kind, name, from_seconds, to_seconds, ...rest } = request.body as {
    readonly [key in keyof Session]?: unknown;
  };
  const stranger = Object.keys(rest)[0];
  if (stranger !== undefined) {
    return { bad: `${stranger.slice(0, 40)}: expected only kind, name, from_seconds, to_seconds` };
  }
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
