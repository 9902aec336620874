// A heat run on the real feedpoint while its service thread is killed, as a crash would: the next thread goes on with the run from
// the disk, and the record says so. And a new start of the daemon, which cannot, says that the run was cut off.

import type { Worker } from "node:worker_threads";
import { afterAll, beforeAll, expect, it, vi } from "vitest";
import type { WireHeatRun } from "../../daemon/wire/heat-run.ts";
import { type ScriptedFeedpoint, scratchFolder, startScripted } from "../browser/feedpoint.ts";
import { freePort } from "../support/free-port.ts";

const SPEED = 120;
const WAIT = { timeout: 30_000, interval: 100 };

const workers: Worker[] = [];
const collect = (worker: Worker): void => {
  workers.push(worker);
};
let folder: Awaited<ReturnType<typeof scratchFolder>>;
let port: number;
let feedpoint: ScriptedFeedpoint;

beforeAll(async () => {
  process.on("worker", collect);
  folder = await scratchFolder();
  // The next thread must stand where the first one stood.
  port = await freePort();
  feedpoint = await startScripted(folder.path, SPEED, port);
  feedpoint.operate(0);
});
afterAll(async () => {
  process.off("worker", collect);
  await feedpoint?.stop();
  await folder?.remove();
});

const view = async (): Promise<WireHeatRun> =>
  (await (await fetch(`${feedpoint.address}api/v1/heat-run`)).json()) as WireHeatRun;
const record = async (): Promise<string> => (await fetch(`${feedpoint.address}api/v1/record`)).text();

it("goes on over a killed thread, and is cut off by a new start", { timeout: 90_000 }, async () => {
  const body = JSON.stringify({ kind: "begin", drive_watts: 400 });
  const headers = { "content-type": "application/json" };
  await fetch(`${feedpoint.address}api/v1/heat-run`, { method: "POST", headers, body });
  await vi.waitFor(async () => expect(await view()).toMatchObject({ stage: "key-down", transmitting: true }), WAIT);
  await vi.waitFor(async () => expect((await view()).stage_seconds).toBeGreaterThan(120), WAIT);
  const before = await view();
  const [first] = workers;
  await first?.terminate();
  await vi.waitFor(async () => expect(await record()).toContain("the heat run goes on"), WAIT);
  await vi.waitFor(async () => expect((await view()).stage_seconds).toBeGreaterThan(before.stage_seconds), WAIT);
  const after = await view();
  expect(after).toMatchObject({ stage: "key-down", planned_watts: 400, cut_off: null });
  expect(after.recorded_seconds).toBeGreaterThan(100);

  await feedpoint.stop();
  feedpoint = await startScripted(folder.path, SPEED, port);
  expect(await view()).toMatchObject({
    stage: "idle",
    cut_off: expect.stringContaining("cut off the heat run (key-down)"),
  });
  await vi.waitFor(async () => expect(await record()).toContain("cut off the heat run"), WAIT);
});
