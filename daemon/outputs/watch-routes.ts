// What the views Alarms and Check ask over HTTP: the alarm list, the record by pages, the health of the parts.
// It checks what is asked; it never computes and never decides.

import { Router } from "express";
import type { RecordQuery } from "../season/record-page.ts";
import { type AlarmRow, MOST_RECORD_LINES, RECORD_KINDS, type RecordPage } from "../wire/alarm.ts";
import type { Check } from "../wire/check.ts";
import { fail } from "./http-error.ts";

export type WatchSources = {
  readonly alarms: readonly AlarmRow[];
  readonly check: () => Check;
  /** @throws when the log cannot be read */
  readonly record: (query: RecordQuery) => RecordPage;
};

const USUAL_LINES = 50;

/** Below /api/v1: `alarms`, `record`, `check`. */
export function watchRoutes(sources: WatchSources): Router {
  const router = Router();
  router.get("/alarms", (_request, response) => {
    response.json(sources.alarms);
  });
  router.get("/check", (_request, response) => {
    response.json(sources.check());
  });
  router.get("/record", (request, response) => {
    const query = parseRecordQuery(request.query);
    if ("bad" in query) {
      fail(response, "BAD_REQUEST", query.bad);
      return;
    }
    try {
      response.json(sources.record(query));
    } catch (error) {
      const text = error instanceof Error ? error.message : String(error);
      fail(response, "UNAVAILABLE", `the record cannot be read: ${text}`);
    }
  });
  return router;
}

/** `before` a line's id, `lines` at most 200, `kinds` separated by commas. */
export function parseRecordQuery(query: Readonly<Record<string, unknown>>): RecordQuery | { readonly bad: string } {
  const unknown = Object.keys(query).find((key) => !["before", "lines", "kinds"].includes(key));
  if (unknown !== undefined) return { bad: `${unknown.slice(0, 40)}: expected only before, lines, kinds` };
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
