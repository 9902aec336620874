// The page's server over HTTP: the page, the state as JSON, history, health, and commands from this machine's own browser.
// It passes on; it never decides, and everything that waits in it has a deadline and a bound.

import { createServer, type RequestListener, type Server } from "node:http";
import { createServer as createEncryptedServer } from "node:https";
import type { Duplex } from "node:stream";
import express, { type ErrorRequestHandler, type RequestHandler } from "express";
import { Places } from "../access/places.ts";
import { accessRoutes, type Logins } from "./access-routes.ts";
import { mountRoutes, type Route } from "./api/route.ts";
import { type Certificate, OLDEST_TLS } from "./certificate.ts";
import { type CommandSources, commandRoutes } from "./command-routes.ts";
import { type Door, refuse } from "./door.ts";
import { securityHeaders } from "./headers.ts";
import { healthRoutes } from "./health-routes.ts";
import { type HeatRunSources, heatRunRoutes } from "./heat-run-routes.ts";
import { type HistorySources, historyRoute } from "./history-query.ts";
import { fail, failUnreadable } from "./http-error.ts";
import { metricsRoute, type ScrapeSources } from "./metrics/route.ts";
import type { PageFile } from "./pages.ts";
import type { IsProxy } from "./peer.ts";
import { type SeasonSources, seasonRoutes } from "./season-routes.ts";
import { type StateSources, stateRoutes } from "./state-routes.ts";
import { type EventSources, eventsRoute } from "./stream-events.ts";
import { type WatchSources, watchRoutes } from "./watch-routes.ts";

/** What the server asks of the rest of the service thread. */
export type SiteSources = Omit<StateSources, "channels"> &
  CommandSources &
  HistorySources &
  ScrapeSources &
  Omit<EventSources, "door"> & {
    readonly door: Door;
    readonly logins: Logins;
    readonly pages: ReadonlyMap<string, PageFile>;
    readonly heatRun: HeatRunSources;
    readonly season: SeasonSources;
    readonly watch: WatchSources;
  };

/** Whose connections are not counted, and who hears of an address that wants more than its part. */
export type Crowd = { readonly isProxy: IsProxy; readonly onCrowd: (address: string) => void };
const NO_CROWD: Crowd = { isProxy: () => false, onCrowd: () => {} };

const REQUEST_SECONDS = 10;
/** How often Node looks for requests past their deadline; left alone it is 30 s, a long time for a crowd that sends nothing. */
const DEADLINE_LOOK_SECONDS = 2;
const HEADER_BYTES = 16 * 1024;
/** Connections beside those of a stream's readers, of everybody and of one address; proxies that the config trusts bring many people. */
const BESIDE_READERS = { ofAll: 192, ofOne: 32 };

/** A server that listens nowhere yet; without a certificate it speaks in the clear. */
export function createSite(
  sources: SiteSources,
  certificate: Certificate | null = null,
  crowd: Crowd = NO_CROWD,
): Server {
  const app = express();
  app.disable("x-powered-by");
  app.set("etag", false);
  app.set("query parser", "simple");
  // An address is spelt as the interface's document has it.
  app.set("case sensitive routing", true);
  app.set("strict routing", true);
  app.use(securityHeaders());
  app.use(knownName(sources.door));
  mountRoutes(app, siteRoutes(sources), (right) => sources.door.keep(right));
  app.use("/api", (_request, response) => fail(response, "NOT_FOUND", "there is no such address"));
  app.use(servePages(sources.pages));
  app.use(lastResort);
  return boundedServer(app, certificate, crowd, sources.stream.audience.most);
}

/** A server around an app, with a bound or a deadline on everything that a client may hold; `readers` of its stream at most. */
export function boundedServer(
  app: RequestListener,
  certificate: Certificate | null,
  crowd: Crowd,
  readers: number,
): Server {
  const options = {
    maxHeaderSize: HEADER_BYTES,
    connectionsCheckingInterval: DEADLINE_LOOK_SECONDS * 1000,
    handshakeTimeout: REQUEST_SECONDS * 1000,
  };
  const server =
    certificate === null
      ? createServer(options, app)
      : createEncryptedServer({ ...options, ...certificate, minVersion: OLDEST_TLS }, app);
  server.on("clientError", failUnreadable);
  // Nothing can be said before the handshake is over, and what waits to be said would keep the connection for ever.
  server.on("tlsClientError", (_error: Error, socket: Duplex) => socket.destroy());
  server.requestTimeout = REQUEST_SECONDS * 1000;
  server.headersTimeout = REQUEST_SECONDS * 1000;
  server.keepAliveTimeout = 5_000;
  server.timeout = 3 * REQUEST_SECONDS * 1000;
  server.maxConnections = readers + BESIDE_READERS.ofAll;
  const places = new Places(server.maxConnections, readers + BESIDE_READERS.ofOne);
  server.on("connection", (socket) => {
    const address = socket.remoteAddress ?? "";
    if (crowd.isProxy(address)) return;
    if (places.isFree(address)) socket.once("close", places.take(address));
    else {
      socket.destroy();
      crowd.onCrowd(address);
    }
  });
  // Node would drop what is beyond its count without a word, and a header that is dropped is not looked at; the door counts.
  server.maxHeadersCount = 0;
  return server;
}

/** Every address that is not a file of the page. A route that is not here is nowhere, not in the document either. */
export function siteRoutes(sources: SiteSources): readonly Route[] {
  const routes: readonly Route[] = [
    ...stateRoutes({ ...sources, channels: () => sources.notices?.health() ?? [] }),
    ...watchRoutes(sources.watch),
    historyRoute(sources),
    ...seasonRoutes(sources.season, sources.note, sources.wallSeconds),
    ...heatRunRoutes(sources.heatRun, sources.note),
    ...commandRoutes(sources),
    eventsRoute(sources),
    metricsRoute(sources),
    ...accessRoutes(sources.logins),
    ...healthRoutes({ version: sources.about.version, ageSeconds: sources.ageSeconds }, () => routes),
  ];
  return routes;
}

/** Nobody is served under a name that is not ours. */
export function knownName(door: Door): RequestHandler {
  return (request, response, next) => {
    const refusal = door.strange(request, door.peerOf(request));
    if (refusal === null) next();
    else {
      // What follows on this line may be part of the trick.
      response.set("Connection", "close");
      refuse(response, refusal);
    }
  };
}

/** The page's files, from memory. */
export function servePages(pages: ReadonlyMap<string, PageFile>): RequestHandler {
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

/** What the body's parser allows, in its own words. */
function limitOf(error: unknown): string {
  return typeof error === "object" && error !== null && "limit" in error ? `${String(error.limit)} bytes` : "allowed";
}

const lastResort: ErrorRequestHandler = (error: unknown, _request, response, _next) => {
  const status = typeof error === "object" && error !== null && "status" in error ? error.status : 500;
  const message = error instanceof Error ? error.message : "unknown";
  if (response.headersSent) response.destroy();
  else if (status === 413) fail(response, "TOO_LARGE", `the request is larger than ${limitOf(error)}`);
  else if (status === 415) fail(response, "MEDIA_TYPE", message);
  else if (typeof status === "number" && status < 500) fail(response, "BAD_REQUEST", message);
  else fail(response, "INTERNAL", "the request failed in the daemon");
};
