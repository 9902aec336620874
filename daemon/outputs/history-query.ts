// The query of /api/v1/history: text → checked numbers and names, or what is wrong with it.
// It knows what may be asked, not where the answer comes from.

import { HISTORY_SERIES, type HistoryQuery, type HistorySeries, MOST_POINTS } from "../wire/history.ts";

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
export function parseHistoryQuery(
  query: Readonly<Record<string, unknown>>,
  nowSeconds: number,
): { readonly query: HistoryQuery } | Bad {
  const unknown = Object.keys(query).find((key) => !["from", "to", "points", "series"].includes(key));
  if (unknown !== undefined) return wrong(unknown, "only from, to, points, series", unknown);
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
