// The guided heat run over HTTP: its state for whoever looks, its requests from this machine only. It checks and passes on.

import express, { Router } from "express";
import type { HeatRunRequest, WireHeatRun } from "../wire/heat-run.ts";
import type { Guard } from "./guard.ts";
import { fail, mayChange } from "./http-error.ts";

/** What the routes ask of the session. */
export type HeatRunSources = {
  readonly view: () => WireHeatRun;
  /** Why it cannot be done; null when it was. @throws Error when a file cannot be written */
  readonly ask: (request: HeatRunRequest) => string | null;
};

const BODY_BYTES = "1kb";
const DRIVE_WATTS = [20, 5000] as const;
const CELSIUS = [-40, 300] as const;

/** Below /api/v1/heat-run. */
export function heatRunRoutes(sources: HeatRunSources, guard: Guard): Router {
  const router = Router();
  router.get("/", (_request, response) => {
    response.json(sources.view());
  });
  router.post("/", express.json({ limit: BODY_BYTES }), (request, response) => {
    if (!mayChange(guard, request, response)) return;
    const asked = parseRequest(request.body);
    if (typeof asked === "string") {
      fail(response, "BAD_REQUEST", asked);
      return;
    }
    try {
      const why = sources.ask(asked);
      response.json({ accepted: why === null, text: why ?? "done", heat_run: sources.view() });
    } catch (error) {
      fail(response, "UNAVAILABLE", error instanceof Error ? error.message : String(error));
    }
  });
  return router;
}

/** The request, or what is wrong with it. */
function parseRequest(body: unknown): HeatRunRequest | string {
  const given = (typeof body === "object" && body !== null ? body : {}) as Readonly<Record<string, unknown>>;
  const within = (name: string, [low, high]: readonly [number, number]): string | null => {
    const value = given[name];
    const fits = typeof value === "number" && value >= low && value <= high;
    return fits ? null : `${name}: expected a number from ${low} to ${high}`;
  };
  switch (given["kind"]) {
    case "begin":
      return within("drive_watts", DRIVE_WATTS) ?? { kind: "begin", drive_watts: given["drive_watts"] as number };
    case "core reading":
      return (
        within("celsius", CELSIUS) ??
        within("at_seconds", [0, 1e12]) ?? {
          kind: "core reading",
          celsius: given["celsius"] as number,
          at_seconds: given["at_seconds"] as number,
        }
      );
    case "finish":
    case "abort":
    case "accept":
    case "discard":
      return { kind: given["kind"] };
    default:
      return "kind: expected one of begin, core reading, finish, abort, accept, discard";
  }
}
