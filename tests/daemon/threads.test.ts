// The promise of the two threads: whatever happens to the service thread, no cycle waits for it and nothing of the log is lost.
// Lateness is the daemon's own reading (`cycle_late_seconds` of its log). A busy machine wakes every thread late
// and lets it wait for a core, so what was the machine's own is not held against the cycle.

import { once } from "node:events";
import { resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { Worker } from "node:worker_threads";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { configFrom, programFrom } from "../../daemon/commands/flags.ts";
import { type RunningFeedpoint, startFeedpoint } from "../../daemon/feedpoint.ts";
import { openSimulated } from "../../daemon/open-simulated.ts";
import { openReadOnly } from "../../daemon/season/connection.ts";
import { readRows } from "../../daemon/season/rows.ts";
import { systemClock } from "../../hardware/clock.ts";
import { Bystander } from "../support/bystander.ts";
import type { Flooded } from "../support/flood.ts";
import { testFolderPath } from "../support/folder.ts";
import { freePort } from "../support/free-port.ts";
import type { Stress } from "../support/stressed-service.ts";

const LATE_SECONDS = 0.02;
const built = (path: string): URL => pathToFileURL(resolve("dist/tests/support", path));
const channel = new BroadcastChannel("emberwire-stress");

/** Resolves once it has begun: who asks then is not answered by a thread that is still well. */
async function stress(what: Stress): Promise<void> {
  const begun = once(channel, "message", { signal: AbortSignal.timeout(30_000) });
  channel.postMessage(what);
  await begun;
}

type Row = {
  readonly number: number;
  readonly monotonic: number;
  readonly late: number;
  readonly silent: string | null;
};

const { folder, remove } = testFolderPath();
let running: RunningFeedpoint;
let rows: readonly Row[] = [];
let entries: readonly { readonly tag: string; readonly number: number; readonly text: string }[] = [];
const bystander = new Bystander();
let clockOffset = 0;
let flooded: Flooded;

// Who asks does so from threads of their own: their work must not be counted as the heartbeat's.
const visitor = new Worker(built("visitor.js"));
async function backAgain(): Promise<void> {
  visitor.postMessage(`${running.address}healthz`);
  await once(visitor, "message", { signal: AbortSignal.timeout(30_000) });
}

async function flood(): Promise<Flooded> {
  const crowd = new Worker(built("flood.js"), { workerData: running.address });
  const [outcome] = (await once(crowd, "message")) as [Flooded];
  await crowd.terminate();
  return outcome;
}

beforeAll(async () => {
  const clock = await systemClock();
  const read = configFrom(undefined);
  running = await startFeedpoint({
    read,
    program: programFrom(read),
    simulated: true,
    speed: 1,
    listen: { host: "127.0.0.1", port: await freePort() },
    folder,
    clock,
    serviceEntry: built("stressed-service.js"),
    pages: resolve("dist/web"),
    open: () => openSimulated(read, 1, clock),
    environment: {},
  });
  clockOffset = clock.monotonicSeconds() - running.hardware.clock.monotonicSeconds();
  await backAgain();
  await stress({ blockSeconds: 5 });
  await backAgain();
  await stress({ crash: "killed on purpose" });
  await backAgain();
  flooded = await flood();
  await backAgain();
  await running.stop();
  await bystander.end();
  const database = openReadOnly(running.logFile);
  rows = [...readRows(database, ["cycle_late_seconds", "codes"], 0, Number.POSITIVE_INFINITY)].map(
    ({ number, monotonicSeconds, cells: [late, codes] }): Row => ({
      number,
      monotonic: monotonicSeconds,
      late: Number(late),
      silent: typeof codes === "string" ? codes : null,
    }),
  );
  entries = database
    .prepare<[], { tag: string; number: number; text: string }>(
      "SELECT tag, number, text FROM entry JOIN run ON run.id = entry.run WHERE run.source = 'live' ORDER BY number",
    )
    .all();
  database.close();
}, 90_000);

afterAll(async () => {
  channel.close();
  await visitor.terminate();
  remove();
});

/** What of a cycle's lateness was the machine's. */
function machineSeconds({ monotonic, late }: Row): number {
  const at = monotonic + clockOffset;
  return bystander.excuseSeconds(at - late, at);
}

describe("while the service thread is blocked for 5 s, killed and flooded", () => {
  it("no cycle is late by more than 20 ms beyond what the machine itself was late", () => {
    const worst = Math.max(...rows.map(({ late }) => late));
    process.stdout.write(
      `  ${rows.length} cycles, latest ${(1e3 * worst).toFixed(1)} ms; idle thread latest ${(1e3 * bystander.latestSeconds).toFixed(1)} ms\n`,
    );
    expect(rows.length).toBeGreaterThanOrEqual(6);
    expect(rows.filter((row) => row.late > LATE_SECONDS + machineSeconds(row))).toEqual([]);
  });

  it("every second has its cycle: none took so long that the next was left out", () => {
    const gaps = rows.slice(1).map((row, index) => ({ from: rows[index]!.monotonic, to: row.monotonic }));
    const excuse = ({ from, to }: { readonly from: number; readonly to: number }): number =>
      bystander.excuseSeconds(from + clockOffset, to + clockOffset);
    expect(gaps.filter((gap) => gap.to - gap.from > 1 + 2 * LATE_SECONDS + excuse(gap))).toEqual([]);
  });

  it("no row of the log is missing", () => {
    expect(rows.map(({ number }) => number)).toEqual(rows.map((_, index) => index + 1));
  });

  it("no entry of the record is missing or doubled", () => {
    expect(entries.map(({ number }) => number)).toEqual(entries.map((_, index) => index + 1));
    expect(entries.map(({ tag }) => tag)).toEqual(expect.arrayContaining(["started", "service-restart", "stopped"]));
  });

  it("a command asked ten times under one id was carried out once", () => {
    process.stdout.write(`  flood: ${flooded.answered} answered, ${flooded.refused} turned away\n`);
    expect(flooded.accepted).toBeGreaterThan(0);
    const notes = entries.flatMap(({ text }) => /flood-\d+/.exec(text) ?? []);
    expect(new Set(notes).size).toBe(notes.length);
    expect(notes.length).toBeGreaterThan(0);
  });
});
