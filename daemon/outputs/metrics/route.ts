// /metrics for a scraper. What writes it is loaded at the first scrape. A scrape that succeeds is one of a living cycle.

import type { Route } from "../api/route.ts";
import { fail } from "../http-error.ts";
import { CURRENT_SECONDS } from "../state-routes.ts";
import type { MetricsSource } from "./families.ts";

export type ScrapeSources = {
  /** Null before the first cycle. */
  readonly metrics: () => MetricsSource | null;
  readonly ageSeconds: () => number;
};

export function metricsRoute({ metrics, ageSeconds }: ScrapeSources): Route {
  return {
    method: "get",
    path: "/metrics",
    operation: "scrape",
    tag: "state",
    summary:
      "The state and the counters for a scraper, as OpenMetrics 1.0 or, if only that is accepted, as the older text format",
    description: `Without a time of its own: the board's clock may be wrong. An error when the last cycle is older than ${CURRENT_SECONDS} s.`,
    answers: {
      200: {
        description: "The exposition",
        content: { "application/openmetrics-text": { type: "string" }, "text/plain": { type: "string" } },
      },
    },
    errors: ["UNAVAILABLE"],
    handle: async (request, response) => {
      const source = metrics();
      if (source === null || ageSeconds() > CURRENT_SECONDS) {
        return fail(response, "UNAVAILABLE", `no cycle was completed within the last ${CURRENT_SECONDS} s`);
      }
      const [{ exposition, EXPOSITION_TYPES }, { familiesOf }] = await Promise.all([
        import("./exposition.ts"),
        import("./families.ts"),
      ]);
      const wanted = request.accepts(["application/openmetrics-text; version=1.0.0", "text/plain; version=0.0.4"]);
      const format = wanted === false || wanted.startsWith("text/plain") ? "plain" : "openmetrics";
      return response
        .set("Content-Type", EXPOSITION_TYPES[format])
        .set("Vary", "Accept")
        .send(exposition(familiesOf(source), format));
    },
  };
}
