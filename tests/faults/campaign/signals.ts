// The real daemon killed, stopped and continued at random moments, on one data folder: each start finds what the last one left,
// the record tells of each, and nothing that was kept is lost.

import { join } from "node:path";
import { expect, vi } from "vitest";
import { openReadOnly } from "../../../daemon/season/connection.ts";
import { seededRandom } from "../../../hardware/simulated/random.ts";
import { testFolder } from "../../support/folder.ts";
import { letterOf } from "../../support/process-state.ts";
import { type Daemon, startDaemon } from "../../support/told-program.ts";
import { SEED, sized } from "./size.ts";
import { Tally } from "./tally.ts";

const KILLS = sized(2, 20);
const STOPS = sized(1, 5);
const PATIENT = { timeout: 30_000, interval: 20 };

type State = { readonly frame: { readonly at_seconds: number; readonly power_stage: string } };
type Entry = { readonly run: number; readonly number: number; readonly tag: string; readonly text: string };

async function state({ address }: Daemon): Promise<State> {
  const response = await fetch(`${address}api/v1/state`, { signal: AbortSignal.timeout(10_000) });
  return (await response.json()) as State;
}

/** Until the daemon's own clock is `seconds` on. */
async function later(daemon: Daemon, seconds: number): Promise<void> {
  const from = (await state(daemon)).frame.at_seconds;
  await vi.waitFor(async () => expect((await state(daemon)).frame.at_seconds - from).toBeGreaterThan(seconds), PATIENT);
}

function entriesOf(file: string): readonly Entry[] {
  const database = openReadOnly(file);
  try {
    expect(database.pragma("integrity_check", { simple: true })).toBe("ok");
    return database.prepare<[], Entry>("SELECT run, number, tag, text FROM entry ORDER BY run, number").all();
  } finally {
    database.close();
  }
}

/** Per run the numbers rise from 1 without a gap. */
function gaps(entries: readonly Entry[]): string[] {
  return entries.flatMap((entry, index) => {
    const before = entries[index - 1];
    const expected = before?.run === entry.run ? before.number + 1 : 1;
    return entry.number === expected ? [] : [`entry ${entry.number} of run ${entry.run} follows ${before?.number}`];
  });
}

/** SIGKILL at random: the next start goes on, and keeps everything that was on the disk. */
export async function kills(): Promise<Tally> {
  const tally = new Tally("SIGKILL to the daemon");
  const random = seededRandom(SEED).fork("kills");
  const folder = testFolder();
  const file = join(folder, "simulated.db");
  const port = "127.0.0.1:0";
  let kept: readonly Entry[] = [];
  for (let kill = 0; kill < KILLS; kill += 1) {
    const daemon = await startDaemon("--data", folder, "--listen", port, "--speed", "20");
    await later(daemon, random.between(0, 60));
    await daemon.stop("SIGKILL");
    const entries = entriesOf(file);
    const wrongs = gaps(entries);
    if (!kept.every((entry, index) => entries[index]?.text === entry.text))
      wrongs.push("an entry that was kept is gone");
    kept = entries;
    tally.count(`kill ${kill}`, 1, wrongs);
  }
  const last = await startDaemon("--data", folder, "--listen", port);
  expect((await state(last)).frame.power_stage).toMatch(/full|reduced|inhibited/);
  expect(await last.stop()).toBe(0);
  const entries = entriesOf(file);
  expect(entries.at(-1)?.tag).toBe("stopped");
  expect(entries.filter(({ tag }) => tag === "started").length).toBeGreaterThan(1);
  return tally;
}

/** SIGSTOP at random: it goes on afterwards, and the record tells how long it stood still. */
export async function stops(): Promise<Tally> {
  const tally = new Tally("SIGSTOP to the daemon");
  const random = seededRandom(SEED).fork("stops");
  const folder = testFolder();
  const daemon = await startDaemon("--data", folder, "--listen", "127.0.0.1:0");
  await later(daemon, 1.5);
  for (let stop = 0; stop < STOPS; stop += 1) {
    await later(daemon, random.unit());
    process.kill(daemon.pid, "SIGSTOP");
    const since = process.hrtime.bigint();
    const standsSeconds = random.between(2.5, 4);
    await vi.waitFor(() => {
      expect(letterOf(daemon.pid)).toBe("T");
      expect(Number(process.hrtime.bigint() - since) / 1e9).toBeGreaterThan(standsSeconds);
    }, PATIENT);
    process.kill(daemon.pid, "SIGCONT");
    await later(daemon, 2);
    tally.count(`stop ${stop}`, 1, []);
  }
  expect(await daemon.stop()).toBe(0);
  const entries = entriesOf(join(folder, "simulated.db"));
  expect(gaps(entries)).toEqual([]);
  const told = entries.filter(({ tag }) => tag === "cycles_missed");
  expect(told.length).toBeGreaterThanOrEqual(STOPS);
  expect(entries.filter(({ tag }) => tag === "service-restart")).toEqual([]);
  return tally;
}
