// The guided heat run over HTTP: its state for whoever looks, its requests from the operator. It checks and passes on.

import type { HeatRunRequest, WireHeatRun } from "../wire/heat-run.ts";
import { type Body, json, type Route } from "./api/route.ts";
import { visitorOf } from "./door.ts";
import { fail } from "./http-error.ts";
import type { Note } from "./note.ts";

/** What the routes ask of the session. */
export type HeatRunSources = {
  readonly view: () => WireHeatRun;
  /** Why it cannot be done; null when it was. @throws Error when a file cannot be written */
  readonly ask: (request: HeatRunRequest) => string | null;
};

const DRIVE_WATTS = [20, 5000] as const;
const CELSIUS = [-40, 300] as const;
const AT_SECONDS = [0, 1e12] as const;

const ADDRESS = "/api/v1/heat-run";

/** Fields of each kind beside `kind`. */
const FIELDS: { readonly [kind in HeatRunRequest["kind"]]: Readonly<Record<string, readonly [number, number]>> } = {
  begin: { drive_watts: DRIVE_WATTS },
  "core reading": { celsius: CELSIUS, at_seconds: AT_SECONDS },
  "skip fan off": {},
  finish: {},
  abort: {},
  accept: {},
  discard: {},
};

/** Fields that may stand there, true or false. */
const FLAGS: { readonly [kind in HeatRunRequest["kind"]]?: readonly string[] } = { begin: ["fan_off"] };

const BODY: Body = {
  limit: "1kb",
  schema: {
    oneOf: (Object.keys(FIELDS) as readonly HeatRunRequest["kind"][]).map((kind) => ({
      title: kind,
      type: "object",
      properties: {
        kind: { const: kind },
        ...Object.fromEntries(
          Object.entries(FIELDS[kind]).map(([name, [minimum, maximum]]) => [
            name,
            { type: "number", minimum, maximum },
          ]),
        ),
        ...Object.fromEntries((FLAGS[kind] ?? []).map((name) => [name, { type: "boolean" }])),
      },
      required: ["kind", ...Object.keys(FIELDS[kind])],
      additionalProperties: false,
    })),
  },
  examples: {
    begin: { kind: "begin", drive_watts: 500, fan_off: true },
    "core reading": { kind: "core reading", celsius: 88.5, at_seconds: 1234 },
    "skip fan off": { kind: "skip fan off" },
    finish: { kind: "finish" },
    abort: { kind: "abort" },
    accept: { kind: "accept" },
    discard: { kind: "discard" },
  },
};

/** /api/v1/heat-run. */
export function heatRunRoutes(sources: HeatRunSources, note: Note): readonly Route[] {
  return [
    {
      method: "get",
      path: ADDRESS,
      operation: "readHeatRun",
      tag: "heat run",
      summary: "The stage of the guided heat run, and what it has learned so far",
      answers: { 200: json("HeatRun", "Its state") },
      errors: [],
      handle: (_request, response) => response.json(sources.view()),
    },
    {
      method: "post",
      path: ADDRESS,
      operation: "askHeatRun",
      tag: "heat run",
      summary: "Begin, report a core reading, leave out the part without the fan, finish, abort, accept or discard",
      description:
        "200 with `accepted: false` says why it cannot be done now. `at_seconds` is the frame's, when the thermometer was read.",
      body: BODY,
      answers: { 200: json("HeatRunAnswer", "What became of it") },
      errors: ["UNAVAILABLE"],
      handle: (request, response) => {
        const asked = parseRequest(request.body);
        if (typeof asked === "string") return fail(response, "BAD_REQUEST", asked);
        try {
          const why = sources.ask(asked);
          note("heat-run", `${asked.kind}: ${why ?? "done"}`, visitorOf(response).caller);
          return response.json({ accepted: why === null, text: why ?? "done", heat_run: sources.view() });
        } catch (error) {
          return fail(response, "UNAVAILABLE", error instanceof Error ? error.message : String(error));
        }
      },
    },
  ];
}

/** The request, or what is wrong with it. */
function parseRequest(body: unknown): HeatRunRequest | string {
  const { kind, ...given } = body as Readonly<Record<string, unknown>>;
  if (typeof kind !== "string" || !Object.hasOwn(FIELDS, kind)) {
    return `kind: expected one of ${Object.keys(FIELDS).join(", ")}`;
  }
  const fields = FIELDS[kind as HeatRunRequest["kind"]];
  for (const [name, [low, high]] of Object.entries(fields)) {
    const value = given[name];
    if (!(typeof value === "number" && value >= low && value <= high)) {
      return `${name}: expected a number from ${low} to ${high}`;
    }
  }
  const flags = FLAGS[kind as HeatRunRequest["kind"]] ?? [];
  for (const name of flags) {
    if (!["boolean", "undefined"].includes(typeof given[name])) return `${name}: expected true or false`;
  }
  const stranger = Object.keys(given).find((name) => !Object.hasOwn(fields, name) && !flags.includes(name));
  if (stranger !== undefined) {
    return `${stranger.slice(0, 40)}: expected only ${["kind", ...Object.keys(fields), ...flags].join(", ")}`;
  }
  return body as HeatRunRequest;
}
