// Hostile clients of the real daemon: streams that are never read, requests that are never finished, garbage for frames, bodies
// without end. Cycles go on without a miss, and who behaves is served meanwhile and afterwards.

import { once } from "node:events";
import { connect, type Socket } from "node:net";
import { join } from "node:path";
import { expect, onTestFinished, vi } from "vitest";
import { openReadOnly } from "../../../daemon/season/connection.ts";
import { readRows } from "../../../daemon/season/rows.ts";
import { seededRandom } from "../../../hardware/simulated/random.ts";
import { testFolder } from "../../support/folder.ts";
import { type Daemon, startDaemon } from "../../support/told-program.ts";
import { SEED, sized } from "./size.ts";
import { Tally } from "./tally.ts";

const PATIENT = { timeout: 30_000, interval: 50 };
const EACH = sized(20, 60);
/** Cycles that the hostility lasts. */
const CYCLES = sized(5, 30);

type State = { readonly frame: { readonly at_seconds: number } };

async function at(daemon: Daemon): Promise<number> {
  const response = await fetch(`${daemon.address}api/v1/state`, { signal: AbortSignal.timeout(10_000) });
  return ((await response.json()) as State).frame.at_seconds;
}

/** A socket that says `words` and then does nothing more, or goes on with `more` as long as it is let. */
async function hostile(daemon: Daemon, words: string | Buffer, more: Buffer | null = null): Promise<Socket> {
  const { hostname, port } = new URL(daemon.address);
  const socket = connect(Number(port), hostname);
  onTestFinished(() => {
    socket.destroy();
  });
  // Being thrown out is what it deserves.
  socket.on("error", () => {});
  await once(socket, "connect");
  socket.write(words);
  const pour = (): void => {
    while (more !== null && socket.writable && socket.write(more));
  };
  socket.on("drain", pour);
  pour();
  return socket;
}

const upgrade = (daemon: Daemon): string =>
  [
    "GET /api/v1/stream HTTP/1.1",
    `Host: ${new URL(daemon.address).host}`,
    "Connection: Upgrade",
    "Upgrade: websocket",
    "Sec-WebSocket-Version: 13",
    "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==",
    "\r\n",
  ].join("\r\n");

/** Never read, never finish, send garbage and bodies without end. */
export async function crowd(): Promise<Tally> {
  const tally = new Tally("hostile clients");
  const random = seededRandom(SEED).fork("clients");
  const garbage = (length: number): Buffer => Buffer.from(Array.from({ length }, () => random.below(256)));
  const folder = testFolder();
  const daemon = await startDaemon("--data", folder, "--listen", "127.0.0.1:0");
  const host = new URL(daemon.address).host;
  const post = `POST /api/v1/commands HTTP/1.1\r\nHost: ${host}\r\nContent-Type: application/json\r\n`;
  const begun = await at(daemon);
  const guests: Promise<Socket>[] = [];
  for (let index = 0; index < EACH; index += 1) {
    guests.push(
      // A stream whose answers are never taken from the socket.
      hostile(daemon, upgrade(daemon)).then((socket) => socket.pause()),
      hostile(daemon, `${upgrade(daemon)}`).then((socket) => {
        socket.write(garbage(1 + random.below(4000)));
        return socket;
      }),
      hostile(daemon, `GET / HTTP/1.1\r\nHost: ${host}\r\nX-Slow: `),
      hostile(daemon, garbage(1 + random.below(2000))),
    );
  }
  for (let index = 0; index < 4; index += 1) {
    guests.push(
      hostile(daemon, `${post}Content-Length: 1000000000\r\n\r\n`, Buffer.alloc(65_536, "x")),
      hostile(daemon, `${post}Transfer-Encoding: chunked\r\n\r\n`, Buffer.from(`1000\r\n${"x".repeat(4096)}\r\n`)),
      hostile(daemon, `GET / HTTP/1.1\r\nHost: ${host}\r\n`, Buffer.from(`X-${"y".repeat(4000)}: z\r\n`)),
    );
  }
  await Promise.all(guests);
  await vi.waitFor(async () => expect((await at(daemon)) - begun).toBeGreaterThan(CYCLES), {
    ...PATIENT,
    timeout: PATIENT.timeout + 1000 * CYCLES,
  });
  await vi.waitFor(async () => {
    const health = await fetch(`${daemon.address}healthz`, { signal: AbortSignal.timeout(10_000) });
    expect(health.status).toBe(200);
  }, PATIENT);
  expect(await daemon.stop()).toBe(0);

  const database = openReadOnly(join(folder, "simulated.db"));
  const live = database.prepare<[], number>("SELECT max(id) FROM run WHERE source = 'live'").pluck().get();
  const numbers = [...readRows(database, [], 0, Number.POSITIVE_INFINITY)].flatMap(({ run, number }) =>
    run === live ? [number] : [],
  );
  const tags = database
    .prepare<[number], string>("SELECT tag FROM entry WHERE run = ?")
    .pluck()
    .all(live ?? 0);
  database.close();
  const wrongs: string[] = [];
  if (numbers.length < CYCLES) wrongs.push(`only ${numbers.length} cycles are in the log`);
  if (numbers.some((number, index) => number !== index + 1)) wrongs.push("a cycle is missing in the log");
  for (const tag of ["service-restart", "service_silent", "cycle-failed", "cycles_missed"]) {
    if (tags.includes(tag)) wrongs.push(`the record tells of ${tag}`);
  }
  tally.count("the crowd", guests.length, wrongs, numbers.length);
  return tally;
}
