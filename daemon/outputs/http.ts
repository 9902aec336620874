// The page's server over HTTP: the page, the state as JSON, history, health, and commands from this machine's own browser.
// It passes on; it never decides, and everything that waits in it has a deadline and a bound.

import { createServer, type Server } from "node:http";
import express, { type ErrorRequestHandler, type Request, type RequestHandler, type Response } from "express";
import type { Action, Answer } from "../core/commands.ts";
import type { RatingBasis } from "../core/physics/rating.ts";
import type { About, Frame, History } from "../wire/frame.ts";
import type { HistoryQuery } from "../wire/history.ts";
import { parseAction } from "./action.ts";
import type { Guard } from "./guard.ts";
import { type HeatRunSources, heatRunRoutes } from "./heat-run-routes.ts";
import { parseHistoryQuery } from "./history-query.ts";
import { fail, failUnreadable, HTTP_ERRORS, type HttpErrorCode, mayChange, PROBLEMS_PATH } from "./http-error.ts";
import type { ChannelHealth } from "./notices/courier.ts";
import type { PageFile } from "./pages.ts";
import { type SeasonSources, seasonRoutes } from "./season-routes.ts";
import { type WatchSources, watchRoutes } from "./watch-routes.ts";

/** What the server asks of the rest of the service thread. */
export type SiteSources = {
  readonly about: About;
  readonly pages: ReadonlyMap<string, PageFile>;
  readonly guard: Guard;
  readonly latest: () => Frame | null;
  /** Whether a cycle was completed within the last 3 s. */
  readonly alive: () => boolean;
  /** The model in use with its transformer and limits, for the page's what-if. */
  readonly ratingBasis: RatingBasis;
  readonly heatRun: HeatRunSources;
  /** @throws when the log cannot be read */
  readonly history: (query: HistoryQuery) => History;
  /** Who is told of alarms, and how that goes; null where nobody is. */
  readonly notices: { health(): readonly ChannelHealth[]; test(): void } | null;
  /** Resolves with what the program said; rejects when it cannot be asked now. */
  readonly season: SeasonSources;
  readonly watch: WatchSources;
  readonly submit: (action: Action, id: string | null, from: string) => Promise<Answer>;
  readonly wallSeconds: () => number;
};

const POLICY = [
  "default-src 'none'",
  "script-src 'self'",
  "style-src 'self'",
  "img-src 'self' data:",
  "connect-src 'self'",
  "manifest-src 'self'",
  "worker-src 'self'",
  "base-uri 'none'",
  "form-action 'none'",
  "frame-ancestors 'none'",
].join("; ");

const REQUEST_SECONDS = 10;
const HEADER_BYTES = 16 * 1024;
const BODY_BYTES = "16kb";
const MOST_CONNECTIONS = 256;

/** A server that listens nowhere yet. */
export function createSite(sources: SiteSources): Server {
  const app = express();
  app.disable("x-powered-by");
  app.set("etag", false);
  app.set("query parser", "simple");
  app.use(shield(sources.guard));
  app.get("/healthz", (_request, response) => {
    if (sources.alive()) response.type("text/plain").send("ok\n");
    else fail(response, "UNAVAILABLE", "no cycle was completed within the last 3 s");
  });
  app.get("/api/v1/state", (_request, response) => {
    const frame = sources.latest();
    if (frame === null) fail(response, "UNAVAILABLE", "no cycle was completed yet");
    else response.json({ about: sources.about, frame, notices: sources.notices?.health() ?? [] });
  });
  app.use("/api/v1/heat-run", heatRunRoutes(sources.heatRun, sources.guard));
  app.get("/api/v1/model", (_request, response) => {
    response.json(sources.ratingBasis);
  });
  app.get("/api/v1/history", (request, response) => sendHistory(sources, request, response));
  app.post("/api/v1/commands", express.json({ limit: BODY_BYTES }), (request, response) =>
    takeCommand(sources, request, response),
  );
  app.use("/api/v1", watchRoutes(sources.watch));
  app.use("/api/v1/season", seasonRoutes(sources.season, sources.guard, sources.wallSeconds));
  app.post("/api/v1/notices/test", (request, response) => testNotices(sources, request, response));
  app.get(`${PROBLEMS_PATH}/:code`, (request, response) => describeProblem(request, response));
  app.use("/api", (_request, response) => fail(response, "NOT_FOUND", "there is no such address"));
  app.use(servePages(sources.pages));
  app.use(lastResort);
  const server = createServer({ maxHeaderSize: HEADER_BYTES }, app);
  server.on("clientError", failUnreadable);
  server.requestTimeout = REQUEST_SECONDS * 1000;
  server.headersTimeout = REQUEST_SECONDS * 1000;
  server.keepAliveTimeout = 5_000;
  server.timeout = 3 * REQUEST_SECONDS * 1000;
  server.maxConnections = MOST_CONNECTIONS;
  return server;
}

function shield(guard: Guard): RequestHandler {
  return (request, response, next) => {
    response.set({
      "Content-Security-Policy": POLICY,
      "X-Content-Type-Options": "nosniff",
      "Referrer-Policy": "no-referrer",
      "Cross-Origin-Resource-Policy": "same-origin",
      "Cross-Origin-Opener-Policy": "same-origin",
      "Cache-Control": "no-store",
    });
    if (guard.knowsHost(request.headers.host)) next();
    else fail(response, "FORBIDDEN", "this machine is not known under that name; add it to listen.names");
  };
}

function servePages(pages: ReadonlyMap<string, PageFile>): RequestHandler {
  return (request, response) => {
    if (request.method !== "GET" && request.method !== "HEAD") {
      response.set("Allow", "GET, HEAD");
      fail(response, "METHOD", "only GET and HEAD here");
      return;
    }
    const file = pages.get(request.path);
    if (file === undefined) {
      fail(
        response,
        "NOT_FOUND",
        pages.size === 0 ? "the page was not built: npm run build" : "there is no such address",
      );
      return;
    }
    response.set({
      "Content-Type": file.type,
      ETag: file.etag,
      Vary: "Accept-Encoding",
      "Cache-Control": file.immutable ? "public, max-age=31536000, immutable" : "no-cache",
    });
    if (request.fresh) {
      response.status(304).end();
      return;
    }
    const small = file.gzip !== null && request.acceptsEncodings("gzip") === "gzip" ? file.gzip : null;
    if (small !== null) response.set("Content-Encoding", "gzip");
    response.end(request.method === "HEAD" ? undefined : (small ?? file.body));
  };
}

function sendHistory(sources: SiteSources, request: Request, response: Response): void {
  const parsed = parseHistoryQuery(request.query, sources.wallSeconds());
  if ("bad" in parsed) {
    const { what, expected, got } = parsed.bad;
    fail(response, "BAD_REQUEST", `${what}: expected ${expected}, got ${got}`);
    return;
  }
  try {
    response.json(sources.history(parsed.query));
  } catch (error) {
    fail(response, "UNAVAILABLE", `the log cannot be read: ${error instanceof Error ? error.message : String(error)}`);
  }
}

async function takeCommand(sources: SiteSources, request: Request, response: Response): Promise<void> {
  if (!mayChange(sources.guard, request, response)) return;
  const from = request.socket.remoteAddress ?? "";
  if (!request.is("application/json")) {
    fail(response, "MEDIA_TYPE", "Content-Type: expected application/json");
    return;
  }
  const body = request.body as { readonly id?: unknown; readonly action?: unknown } | undefined;
  const id = body?.id;
  if (id !== undefined && !(typeof id === "string" && /^[\w.:-]{1,64}$/.test(id))) {
    fail(response, "BAD_REQUEST", "id: expected 1 to 64 letters, digits, or . : - _");
    return;
  }
  const parsed = parseAction(body?.action);
  if ("bad" in parsed) {
    const { what, expected, got } = parsed.bad;
    fail(response, "BAD_REQUEST", `${what}: expected ${expected}, got ${got}`);
    return;
  }
  try {
    response.json(await sources.submit(parsed.action, id ?? null, from));
  } catch (error) {
    fail(response, "UNAVAILABLE", error instanceof Error ? error.message : String(error));
  }
}

/** Accepted means under way; `notices` in the state tells what became of it. */
function testNotices(sources: SiteSources, request: Request, response: Response): void {
  if (!mayChange(sources.guard, request, response)) return;
  if (sources.notices === null) {
    fail(response, "UNAVAILABLE", "no notices are configured: add a table [notices]");
    return;
  }
  sources.notices.test();
  response.status(202).json({ channels: sources.notices.health().map(({ name }) => name) });
}

/** What a problem's `type` leads to. */
function describeProblem(request: Request, response: Response): void {
  const code = request.params["code"];
  if (typeof code === "string" && Object.hasOwn(HTTP_ERRORS, code)) {
    response.json({ code, ...HTTP_ERRORS[code as HttpErrorCode] });
  } else fail(response, "NOT_FOUND", `code: expected one of ${Object.keys(HTTP_ERRORS).join(", ")}`);
}

const lastResort: ErrorRequestHandler = (error: unknown, _request, response, _next) => {
  const status = typeof error === "object" && error !== null && "status" in error ? error.status : 500;
  const message = error instanceof Error ? error.message : "unknown";
  if (response.headersSent) response.destroy();
  else if (status === 413) fail(response, "TOO_LARGE", `the request is larger than ${BODY_BYTES}`);
  else if (status === 415) fail(response, "MEDIA_TYPE", message);
  else if (typeof status === "number" && status < 500) fail(response, "BAD_REQUEST", message);
  else fail(response, "INTERNAL", "the request failed in the daemon");
};
