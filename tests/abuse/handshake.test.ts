// Connections to a page with TLS that never come to their first word: they are bounded and end like requests that never end.

import { once } from "node:events";
import { readFileSync } from "node:fs";
import type { IncomingMessage, Server } from "node:http";
import { get } from "node:https";
import { connect, type Socket } from "node:net";
import { afterAll, beforeAll, expect, it, vi } from "vitest";
import { readCertificate } from "../../daemon/outputs/certificate.ts";
import { createSite } from "../../daemon/outputs/http.ts";
import { listen } from "../../daemon/outputs/listen.ts";
import { CERTIFIED_NAME, makeCertificate } from "../support/certificate.ts";
import { testFolderPath } from "../support/folder.ts";
import { idleSources } from "../support/site.ts";

const PATIENT = { timeout: 40_000, interval: 100 };
const { folder, remove } = testFolderPath();
let server: Server;
let address: string;
let ca: Buffer;
const crowded: string[] = [];

beforeAll(async () => {
  const files = await makeCertificate(folder);
  ca = readFileSync(files.certificate);
  const crowd = { isProxy: (from: string) => from === "127.0.0.7", onCrowd: (from: string) => crowded.push(from) };
  server = createSite(idleSources(), readCertificate(files), crowd);
  address = await listen(server, { host: "127.0.0.1", port: 0 });
});
afterAll(() => {
  server.closeAllConnections();
  server.close();
  remove();
});

async function silent(count: number, localAddress: string): Promise<readonly Socket[]> {
  const sockets: Socket[] = [];
  // One after the other: what overflows the kernel's own queue never hears that it was not taken.
  for (let opened = 0; opened < count; opened += 1) {
    const socket = connect({ port: Number(new URL(address).port), host: "127.0.0.1", localAddress });
    socket.on("error", () => {});
    await once(socket, "connect").catch(() => {});
    sockets.push(socket.resume());
  }
  return sockets;
}

it("keep nobody else out, and are ended by a deadline; those of a trusted proxy are not counted", async () => {
  const crowd = await silent(120, "127.0.0.3");
  const proxied = await silent(120, "127.0.0.7");
  const open = (sockets: readonly Socket[]): number => sockets.filter(({ closed }) => !closed).length;
  try {
    // The three readers that these sources allow, and 32 beside.
    await vi.waitFor(() => expect(open(crowd)).toBe(35), PATIENT);
    expect(open(proxied)).toBe(120);
    expect(new Set(crowded)).toEqual(new Set(["127.0.0.3"]));
    const [response] = (await once(
      get(`${address}healthz`, { ca, servername: CERTIFIED_NAME, localAddress: "127.0.0.2", agent: false }),
      "response",
    )) as [IncomingMessage];
    response.resume();
    expect(response.statusCode).toBe(200);
    await vi.waitFor(() => expect([open(crowd), open(proxied)]).toEqual([0, 0]), PATIENT);
  } finally {
    for (const socket of [...crowd, ...proxied]) socket.destroy();
  }
});
