// The server of the overview: its page, its health, and the stream of rows. It only reads: there is no address that changes anything,
// here or at a feedpoint.

import type { Server } from "node:http";
import express from "express";
import type { Cancel, Clock } from "../../../hardware/ports.ts";
import type { OverviewHead, OverviewMessage } from "../../wire/overview.ts";
import { Audience, type StreamText, streamText } from "../audience.ts";
import type { Certificate } from "../certificate.ts";
import type { Door } from "../door.ts";
import { securityHeaders } from "../headers.ts";
import { boundedServer, type Crowd, knownName, servePages } from "../http.ts";
import { fail } from "../http-error.ts";
import type { PageFile } from "../pages.ts";
import { attachSockets } from "../stream-socket.ts";
import type { OverviewTable } from "./table.ts";

const OVERVIEW_PATH = "/api/v1/overview";

export type OverviewSources = {
  readonly clock: Clock;
  readonly door: Door;
  readonly crowd: Crowd;
  /** Null = without TLS. */
  readonly certificate: Certificate | null;
  readonly mostClients: number;
  readonly pages: ReadonlyMap<string, PageFile>;
  readonly table: OverviewTable;
  readonly version: string;
  readonly most: number;
  /** Null while the broker is in reach. */
  readonly brokerTrouble: () => string | null;
};

/** Changes are gathered this long: 1 Hz of many feedpoints becomes two messages a second. */
const GATHER_SECONDS = 0.5;
/** A snapshot of a thousand rows is some 700 kB. */
const BACKLOG_BYTES = 2 * 1024 * 1024;

export type OverviewSite = { readonly server: Server; readonly close: () => void };

/** A server that listens nowhere yet, with its stream at work. */
export function createOverviewSite(sources: OverviewSources): OverviewSite {
  const { clock, door, crowd, certificate, mostClients, pages, table, version, most, brokerTrouble } = sources;
  const head = (): OverviewHead => ({
    now_seconds: clock.monotonicSeconds(),
    broker_trouble: brokerTrouble(),
    hidden: table.hidden,
  });
  const encode = (message: OverviewMessage): StreamText => streamText(message);
  const audience = new Audience({
    clock,
    mostReaders: mostClients,
    backlogBytes: BACKLOG_BYTES,
    snapshot: (sequence) => encode({ type: "snapshot", sequence, version, most, ...head(), rows: table.rows }),
  });
  let pending: Cancel;
  const gather = (): void => {
    const changes = table.changes();
    audience.send((sequence) => encode({ type: "delta", sequence, ...head(), ...changes }));
    pending = clock.after(GATHER_SECONDS, gather);
  };
  pending = clock.after(GATHER_SECONDS, gather);

  const app = express();
  app.disable("x-powered-by");
  app.set("etag", false);
  app.use(securityHeaders());
  app.use(knownName(door));
  app.get("/healthz", (_request, response) => {
    const trouble = brokerTrouble();
    if (trouble === null) response.type("text/plain").send("ok\n");
    else fail(response, "UNAVAILABLE", `the broker is not in reach: ${trouble}`);
  });
  app.use("/api", (_request, response) => fail(response, "NOT_FOUND", "there is no such address"));
  app.use(servePages(pages));
  const server = boundedServer(app, certificate, crowd, audience.most);
  attachSockets(server, OVERVIEW_PATH, audience, door);
  const close = (): void => {
    pending();
    audience.close();
    server.close();
    server.closeAllConnections();
  };
  return { server, close };
}
