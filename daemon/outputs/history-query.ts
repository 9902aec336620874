// The query of /api/v1/history: text → checked numbers and names, or what is wrong with it; and its route.
// It knows what may be asked, not where the answer comes from.

import type { History } from "../wire/frame.ts";
import { HISTORY_SERIES, type HistoryQuery, type HistorySeries, MOST_POINTS } from "../wire/history.ts";
import { json, type Parameter, type Route } from "./api/route.ts";
import { fail } from "./http-error.ts";

const USUAL_POINTS = 600;
const USUAL_SPAN_SECONDS = 1_800;
const LONGEST_SPAN_SECONDS = 370 * 86_400;
const USUAL_SERIES: readonly HistorySeries[] = [
  "core_celsius",
  "core_upper_celsius",
  "outlet_celsius",
  "inlet_celsius",
];

type Bad = { readonly bad: { readonly what: string; readonly expected: string; readonly got: string } };

const isSeries = (name: string): name is HistorySeries => (HISTORY_SERIES as readonly string[]).includes(name);

function numberOf(text: unknown): number {
  return typeof text === "string" && text.trim() !== "" ? Number(text) : Number.NaN;
}

/** `query` as a browser sent it; without `to` it ends now, without `from` it begins half an hour earlier. */
function parseHistoryQuery(
  query: Readonly<Record<string, unknown>>,
  nowSeconds: number,
): { readonly query: HistoryQuery } | Bad {
  const toSeconds = query["to"] === undefined ? nowSeconds : numberOf(query["to"]);
  if (!Number.isFinite(toSeconds)) return wrong("to", "Unix seconds", query["to"]);
  const fromSeconds = query["from"] === undefined ? toSeconds - USUAL_SPAN_SECONDS : numberOf(query["from"]);
  if (!Number.isFinite(fromSeconds)) return wrong("from", "Unix seconds", query["from"]);
  const span = toSeconds - fromSeconds;
  if (!(span > 0 && span <= LONGEST_SPAN_SECONDS))
    return wrong("from", "a time before `to`, at most a year", query["from"]);
  const points = query["points"] === undefined ? USUAL_POINTS : numberOf(query["points"]);
  if (!(Number.isInteger(points) && points >= 1 && points <= MOST_POINTS)) {
    return wrong("points", `a whole number from 1 to ${MOST_POINTS}`, query["points"]);
  }
  const given = query["series"];
  if (given === undefined) return { query: { fromSeconds, toSeconds, points, series: USUAL_SERIES } };
  const names = typeof given === "string" ? [...new Set(given.split(","))] : [];
  const series = names.filter(isSeries);
  const stranger = names.find((name) => !isSeries(name));
  if (stranger !== undefined || series.length === 0) {
    return wrong("series", `names of ${HISTORY_SERIES.join(", ")}`, stranger ?? given);
  }
  return { query: { fromSeconds, toSeconds, points, series } };
}

function wrong(what: string, expected: string, got: unknown): Bad {
  return { bad: { what, expected, got: String(got).slice(0, 80) } };
}

export type HistorySources = {
  /** @throws when the log cannot be read */
  readonly history: (query: HistoryQuery) => History;
  readonly wallSeconds: () => number;
};

const PARAMETERS: readonly Parameter[] = [
  {
    name: "from",
    in: "query",
    description: "Unix seconds; half an hour before `to` when left out, at most 370 days before it.",
    schema: { type: "number" },
    example: 1_790_000_000,
  },
  {
    name: "to",
    in: "query",
    description: "Unix seconds; now when left out.",
    schema: { type: "number" },
    example: 1_790_003_600,
  },
  {
    name: "points",
    in: "query",
    description: "How many points a series has at most; peaks are kept.",
    schema: { type: "integer", minimum: 1, maximum: MOST_POINTS, default: USUAL_POINTS },
    example: 100,
  },
  {
    name: "series",
    in: "query",
    description: `Names separated by commas, of ${HISTORY_SERIES.join(", ")}.`,
    schema: { type: "string", default: USUAL_SERIES.join(",") },
    example: "core_upper_celsius,drive_watts",
  },
];

/** /api/v1/history. */
export function historyRoute({ history, wallSeconds }: HistorySources): Route {
  return {
    method: "get",
    path: "/api/v1/history",
    operation: "readHistory",
    tag: "season",
    summary: "Series of the log between two times, thinned so that no peak is lost",
    parameters: PARAMETERS,
    answers: { 200: json("History", "The series asked for") },
    errors: ["UNAVAILABLE"],
    handle: (request, response) => {
      const parsed = parseHistoryQuery(request.query, wallSeconds());
      if ("bad" in parsed) {
        const { what, expected, got } = parsed.bad;
        return fail(response, "BAD_REQUEST", `${what}: expected ${expected}, got ${got}`);
      }
      try {
        return response.json(history(parsed.query));
      } catch (error) {
        const text = error instanceof Error ? error.message : String(error);
        return fail(response, "UNAVAILABLE", `the log cannot be read: ${text}`);
      }
    },
  };
}
