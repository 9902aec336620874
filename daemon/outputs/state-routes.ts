// The state of the feedpoint now: whole, or as one row for scripts; and the model in use. It passes on and decides nothing.

import type { RatingBasis } from "../core/physics/rating.ts";
import type { About, Frame } from "../wire/frame.ts";
import { json, type Parameter, type Route } from "./api/route.ts";
import { fail } from "./http-error.ts";
import type { ChannelHealth } from "./notices/courier.ts";
import { csvOf, parseFields, ROW_COLUMNS, type RowSource, rowOf } from "./state-row.ts";
import { STREAM_PATH } from "./stream-socket.ts";

export type StateSources = {
  readonly about: About;
  readonly latest: () => Frame | null;
  /** Seconds since the latest frame came; infinite before the first. */
  readonly ageSeconds: () => number;
  /** The model in use with its transformer and limits, for what-if questions. */
  readonly ratingBasis: RatingBasis;
  readonly channels: () => readonly ChannelHealth[];
};

/** A frame older than this is no current state. */
export const CURRENT_SECONDS = 3;

const FIELDS: Parameter = {
  name: "fields",
  in: "query",
  description: "Columns, separated by commas, in the order wanted.",
  schema: { type: "string", pattern: `^(${ROW_COLUMNS.join("|")})(,(${ROW_COLUMNS.join("|")}))*$` },
  example: "core_upper_celsius,headroom_seconds,power_stage",
};

const ROW_SCHEMA = {
  title: "The columns asked for, each a number, a word, true, false or null",
  type: "object",
  propertyNames: { enum: ROW_COLUMNS },
  additionalProperties: { type: ["number", "string", "boolean", "null"] },
};

/** Below /api/v1: `state`, `state.csv`, `model`, and how the stream is reached. */
export function stateRoutes(sources: StateSources): readonly Route[] {
  const { about } = sources;
  const row = (columns: readonly string[]): ReturnType<typeof rowOf> | null => {
    const current = currentOf(sources);
    return current === null ? null : rowOf(current, columns);
  };
  const missing = (): string =>
    sources.latest() === null ? "no cycle was completed yet" : `the last cycle is older than ${CURRENT_SECONDS} s`;

  return [
    {
      method: "get",
      path: "/api/v1/state",
      operation: "readState",
      tag: "state",
      summary: "The state now",
      description: `Without \`fields\` everything, of whatever age. With \`fields\` one flat object, and an error when the last cycle is older than ${CURRENT_SECONDS} s.`,
      parameters: [FIELDS],
      answers: { 200: json({ anyOf: [{ $ref: "#/components/schemas/State" }, ROW_SCHEMA] }, "The state") },
      errors: ["UNAVAILABLE"],
      handle: (request, response) => {
        const asked = parseFields(request.query["fields"]);
        if ("bad" in asked) return fail(response, "BAD_REQUEST", asked.bad);
        const frame = sources.latest();
        const answer =
          request.query["fields"] !== undefined
            ? row(asked.columns)
            : frame && { about, frame, age_seconds: sources.ageSeconds(), notices: sources.channels() };
        return answer === null ? fail(response, "UNAVAILABLE", missing()) : response.json(answer);
      },
    },
    {
      method: "get",
      path: "/api/v1/state.csv",
      operation: "readStateRow",
      tag: "state",
      summary: "The state now as a header and one record of RFC 4180",
      description: `An empty field: nothing to show. An error when the last cycle is older than ${CURRENT_SECONDS} s.`,
      parameters: [FIELDS],
      answers: { 200: { description: "Two lines", content: { "text/csv": { type: "string" } } } },
      errors: ["UNAVAILABLE"],
      handle: (request, response) => {
        const asked = parseFields(request.query["fields"]);
        if ("bad" in asked) return fail(response, "BAD_REQUEST", asked.bad);
        const cells = row(asked.columns);
        if (cells === null) return fail(response, "UNAVAILABLE", missing());
        return response.set("Content-Type", "text/csv; charset=utf-8; header=present").send(csvOf(cells));
      },
    },
    {
      method: "get",
      path: STREAM_PATH,
      operation: "openStream",
      tag: "state",
      summary: "The state as it changes, over a WebSocket (RFC 6455)",
      description:
        "Each text message is a StreamMessage: a snapshot first, then numbered deltas that name the keys that changed. A gap in the numbers means: connect anew. The server sends pings and takes no messages.",
      answers: {
        101: { description: "The stream begins; each message is a StreamMessage", content: {} },
      },
      errors: ["UPGRADE", "UNAVAILABLE"],
      handle: (_request, response) => {
        response.set("Upgrade", "websocket");
        fail(response, "UPGRADE", "Upgrade: expected websocket");
      },
    },
    {
      method: "get",
      path: "/api/v1/model",
      operation: "readModel",
      tag: "state",
      summary: "The model in use, its transformer and its limits",
      answers: { 200: json("RatingBasis", "The model") },
      errors: [],
      handle: (_request, response) => response.json(sources.ratingBasis),
    },
  ];
}

/** What is current; null when nothing is. */
function currentOf({ about, latest, ageSeconds }: StateSources): RowSource | null {
  const frame = latest();
  const age = ageSeconds();
  return frame === null || age > CURRENT_SECONDS ? null : { about, frame, ageSeconds: age };
}
