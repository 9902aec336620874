// The real daemon on a disk that fills up and on one that turns read-only: cycles go on, the alarm comes and goes, and what
// happened meanwhile is in the record once the disk takes it again. The disks are small tmpfs of the test's own; that needs root.

import { execFileSync } from "node:child_process";
import { closeSync, mkdirSync, openSync, rmSync, writeFileSync, writeSync } from "node:fs";
import { join } from "node:path";
import { expect, onTestFinished, vi } from "vitest";
import { checkpointIn, openReadOnly } from "../../../daemon/season/connection.ts";
import { keptBeside } from "../../../daemon/season/keepsake.ts";
import { testFolder } from "../../support/folder.ts";
import { type Daemon, startDaemon } from "../../support/told-program.ts";
import { Tally } from "./tally.ts";

const PATIENT = { timeout: 60_000, interval: 100 };

type Alarm = { readonly tag: string; readonly state: string };
type State = {
  readonly frame: {
    readonly at_seconds: number;
    readonly alarms: readonly Alarm[];
    readonly power_stage: string;
    readonly reasons: readonly string[];
  };
};

async function frame({ address }: Daemon): Promise<State["frame"]> {
  const response = await fetch(`${address}api/v1/state`, { signal: AbortSignal.timeout(10_000) });
  return ((await response.json()) as State).frame;
}

/** A disk of its own, unmounted at the end. */
function smallDisk(megabytes: number): string {
  const mount = join(testFolder(), "disk");
  mkdirSync(mount);
  execFileSync("mount", ["-t", "tmpfs", "-o", `size=${megabytes}m`, "emberwire-test", mount]);
  onTestFinished(() => {
    execFileSync("umount", ["--lazy", mount]);
  });
  return mount;
}

async function untilAlarm(daemon: Daemon, tag: string, states: RegExp): Promise<void> {
  await vi.waitFor(async () => {
    const { alarms } = await frame(daemon);
    expect(alarms.find((alarm) => alarm.tag === tag)?.state ?? "normal").toMatch(states);
  }, PATIENT);
}

async function note(daemon: Daemon, text: string): Promise<number> {
  const response = await fetch(`${daemon.address}api/v1/commands`, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify({ action: { kind: "note", text } }),
    signal: AbortSignal.timeout(10_000),
  });
  await response.arrayBuffer();
  return response.status;
}

/** The same story for every way in which a disk refuses. */
async function story(
  tally: Tally,
  name: string,
  when: "before the start" | "while it runs",
  refuse: (disk: string) => void,
  yields: (disk: string) => void,
): Promise<void> {
  const disk = smallDisk(6);
  const start = () => startDaemon("--data", disk, "--listen", "127.0.0.1:0", "--speed", "20");
  if (when === "before the start") refuse(disk);
  const daemon = await start();
  if (when === "while it runs") refuse(disk);
  await untilAlarm(daemon, "log_not_writable", /^unacknowledged$/);
  const during = (await frame(daemon)).at_seconds;
  expect(await note(daemon, "written while the disk refused")).toBe(200);
  await vi.waitFor(async () => expect((await frame(daemon)).at_seconds - during).toBeGreaterThan(20), PATIENT);
  yields(disk);
  await untilAlarm(daemon, "log_not_writable", /^(returned to normal unacknowledged|normal)$/);
  expect(await daemon.stop()).toBe(0);
  const database = openReadOnly(join(disk, "simulated.db"));
  const entries = database
    .prepare<[], { number: number; tag: string; text: string }>(
      "SELECT number, tag, text FROM entry JOIN run ON run.id = entry.run WHERE source = 'live' ORDER BY number",
    )
    .all();
  const sound = database.pragma("integrity_check", { simple: true });
  database.close();
  const wrongs: string[] = [];
  if (sound !== "ok") wrongs.push(`the file is damaged: ${String(sound)}`);
  if (!entries.some(({ tag }) => tag === "log_not_writable")) wrongs.push("the record does not tell of the disk");
  if (!entries.some(({ text }) => text.includes("written while the disk refused"))) wrongs.push("a note was lost");
  const missing = entries.filter(({ number }, index) => number !== (entries[index - 1]?.number ?? 0) + 1);
  for (const { number, tag } of missing) wrongs.push(`the entry before ${number} (${tag}) is missing`);
  tally.count(name, 1, wrongs);
}

/** Takes what is left, to the last block, also while the daemon takes some of it. */
function fill(disk: string): void {
  const stuffing = openSync(join(disk, "stuffing"), "w");
  const block = Buffer.alloc(4096);
  try {
    for (;;) writeSync(stuffing, block);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== "ENOSPC") throw error;
  } finally {
    closeSync(stuffing);
  }
}

const remount = (disk: string, how: string) => execFileSync("mount", ["-o", `remount,${how}`, disk]);

/** Above where the bound begins, so that power is permitted; reached within minutes of the simulated day, when the disk is long full. */
const LOW_LIMIT = '[transformer]\nmix = "43"\ntoroids = 3\nprimary_turns = 3\n[limits]\ncore = "86C"\n';

/** A trip on a disk that is full already, then a power cut: the log knows nothing of it, the next start does. */
async function forgottenTrip(tally: Tally): Promise<void> {
  const disk = smallDisk(6);
  const config = join(testFolder(), "emberwire.toml");
  writeFileSync(config, LOW_LIMIT);
  const words = ["--config", config, "--simulated", "--data", disk, "--listen", "127.0.0.1:0"];
  const daemon = await startDaemon(...words, "--speed", "40");
  fill(disk);
  await untilAlarm(daemon, "core_upper_trip", /^unacknowledged$/);
  await vi.waitFor(() => expect(trippedIn(keptBeside(join(disk, "simulated.db")))).toBe(true), PATIENT);
  await daemon.stop("SIGKILL");
  const database = openReadOnly(join(disk, "simulated.db"));
  const logged = trippedIn(checkpointIn(database));
  database.close();
  const next = await startDaemon(...words);
  const { power_stage, reasons } = await frame(next);
  await next.stop();
  const wrongs: string[] = [];
  if (logged) wrongs.push("the log knew of the trip: the disk was not full");
  if (power_stage !== "inhibited" || !reasons.some((reason) => reason.includes("reset"))) {
    wrongs.push(`the trip was forgotten: ${power_stage}, ${reasons.join("; ")}`);
  }
  tally.count("trip", 1, wrongs);
}

const trippedIn = (checkpoint: string | null): boolean =>
  checkpoint !== null && (JSON.parse(checkpoint) as { readonly tripped: boolean }).tripped;

/** A disk that fills up, one that is read-only, and one that is full when power has to go. */
export async function disks(): Promise<Tally> {
  const tally = new Tally("disks");
  await Promise.all([
    forgottenTrip(tally),
    story(tally, "full", "while it runs", fill, (disk) => rmSync(join(disk, "stuffing"))),
    // Tmpfs refuses to turn read-only under files that are open for writing, so it is so before the daemon opens any.
    story(
      tally,
      "read-only",
      "before the start",
      (disk) => remount(disk, "ro"),
      (disk) => remount(disk, "rw"),
    ),
  ]);
  return tally;
}
