// What the views Alarms and Check ask over HTTP: the alarm list, the record by pages, the health of the parts.
// It checks what is asked; it never computes and never decides.

import type { RecordQuery } from "../season/record-page.ts";
import { type AlarmRow, MOST_RECORD_LINES, RECORD_KINDS, type RecordPage } from "../wire/alarm.ts";
import type { Check } from "../wire/check.ts";
import { json, type Parameter, type Route } from "./api/route.ts";
import { fail } from "./http-error.ts";

export type WatchSources = {
  readonly alarms: readonly AlarmRow[];
  readonly check: () => Check;
  /** @throws when the log cannot be read */
  readonly record: (query: RecordQuery) => RecordPage;
};

const USUAL_LINES = 50;

const RECORD_PARAMETERS: readonly Parameter[] = [
  {
    name: "before",
    in: "query",
    description: "Only lines before the one with this id; from the newest when left out.",
    schema: { type: "integer", minimum: 0 },
    example: 1000,
  },
  {
    name: "lines",
    in: "query",
    description: "How many lines at most.",
    schema: { type: "integer", minimum: 1, maximum: MOST_RECORD_LINES, default: USUAL_LINES },
    example: 20,
  },
  {
    name: "kinds",
    in: "query",
    description: `Names separated by commas, of ${RECORD_KINDS.join(", ")}.`,
    schema: { type: "string", default: RECORD_KINDS.join(",") },
    example: "alarm,stage",
  },
];

/** Below /api/v1: `alarms`, `record`, `check`. */
export function watchRoutes(sources: WatchSources): readonly Route[] {
  return [
    {
      method: "get",
      path: "/api/v1/alarms",
      operation: "readAlarmList",
      tag: "state",
      summary: "The rationalised alarm list: causes, consequences, responses",
      description: "Which of them are active stands in the state.",
      answers: { 200: json({ type: "array", items: { $ref: "#/components/schemas/AlarmRow" } }, "All alarms") },
      errors: [],
      handle: (_request, response) => response.json(sources.alarms),
    },
    {
      method: "get",
      path: "/api/v1/check",
      operation: "readCheck",
      tag: "health",
      summary: "How hardware, buses, clock, log and notices are",
      answers: { 200: json("Check", "As the view Check shows it") },
      errors: [],
      handle: (_request, response) => response.json(sources.check()),
    },
    {
      method: "get",
      path: "/api/v1/record",
      operation: "readRecord",
      tag: "season",
      summary: "The permanent record, newest first",
      parameters: RECORD_PARAMETERS,
      answers: { 200: json("RecordPage", "One page of it") },
      errors: ["UNAVAILABLE"],
      handle: (request, response) => {
        const query = parseRecordQuery(request.query);
        if ("bad" in query) return fail(response, "BAD_REQUEST", query.bad);
        try {
          return response.json(sources.record(query));
        } catch (error) {
          const text = error instanceof Error ? error.message : String(error);
          return fail(response, "UNAVAILABLE", `the record cannot be read: ${text}`);
        }
      },
    },
  ];
}

/** `before` a line's id, `lines` at most 200, `kinds` separated by commas. */
function parseRecordQuery(query: Readonly<Record<string, unknown>>): RecordQuery | { readonly bad: string } {
  const whole = (value: unknown): number =>
    typeof value === "string" && /^\d{1,15}$/.test(value) ? Number(value) : Number.NaN;
  const before = query["before"] === undefined ? null : whole(query["before"]);
  if (Number.isNaN(before)) return { bad: "before: expected the id of a line" };
  const lines = query["lines"] === undefined ? USUAL_LINES : whole(query["lines"]);
  if (!(lines >= 1 && lines <= MOST_RECORD_LINES)) {
    return { bad: `lines: expected a whole number from 1 to ${MOST_RECORD_LINES}` };
  }
  const asked = query["kinds"];
  if (asked === undefined) return { before, lines, kinds: RECORD_KINDS };
  const names: readonly string[] = typeof asked === "string" ? asked.split(",") : [];
  const kinds = RECORD_KINDS.filter((kind) => names.includes(kind));
  if (names.length === 0 || kinds.length !== names.length)
    return { bad: `kinds: expected names of ${RECORD_KINDS.join(", ")}` };
  return { before, lines, kinds };
}
