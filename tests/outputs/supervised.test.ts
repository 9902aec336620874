// The real daemon under a real notify socket, by way of the real systemd-notify: ready after its first cycle, alive by its cycles
// and by nothing else, stopping at the end.

import { expect, it, vi } from "vitest";
import { configFrom, programFrom } from "../../daemon/commands/flags.ts";
import { Heartbeat } from "../../daemon/cycle.ts";
import { supervisorOf } from "../../daemon/outputs/supervisor.ts";
import { fixedRig } from "../../daemon/station/rig.ts";
import { Sweep } from "../../daemon/sweep.ts";
import { testFolder } from "../support/folder.ts";
import { HandHardware } from "../support/hand-hardware.ts";
import { ManualClock } from "../support/manual-clock.ts";
import { notifySocket } from "../support/notify-socket.ts";
import { letterOf } from "../support/process-state.ts";
import { startDaemonIn } from "../support/told-program.ts";
import { USUAL_DRIVE } from "../support/usual-drive.ts";

const PATIENT = { timeout: 20_000, interval: 20 };
const isAlive = (line: string): boolean => line === "WATCHDOG=1";

const seconds = (): number => Number(process.hrtime.bigint()) / 1e9;

it("is told ready, alive and stopping by the daemon, and nothing while the daemon stands still", async () => {
  const { path, heard } = await notifySocket();
  const daemon = await startDaemonIn(
    { NOTIFY_SOCKET: path, WATCHDOG_USEC: "3000000" },
    ...["--data", testFolder(), "--listen", "127.0.0.1:0"],
  );
  await vi.waitFor(() => expect(heard.filter(isAlive).length).toBeGreaterThanOrEqual(2), PATIENT);
  expect(heard[0]).toBe("READY=1");
  expect(heard.find((line) => line.startsWith("STATUS="))).toMatch(/^STATUS=(inhibited|full), core at most \d+ °C$/);

  process.kill(daemon.pid, "SIGSTOP");
  await vi.waitFor(() => expect(letterOf(daemon.pid)).toBe("T"), PATIENT);
  // What was under way through shell and systemd-notify may still arrive; then a whole watchdog period passes in silence.
  let [count, since] = [heard.length, seconds()];
  await vi.waitFor(() => {
    if (heard.length !== count) [count, since] = [heard.length, seconds()];
    expect(seconds() - since).toBeGreaterThan(3);
  }, PATIENT);

  process.kill(daemon.pid, "SIGCONT");
  await vi.waitFor(() => expect(heard.length).toBeGreaterThan(count), PATIENT);
  expect(await daemon.stop()).toBe(0);
  await vi.waitFor(() => expect(heard).toContain("STOPPING=1"), PATIENT);
  expect(heard.filter((line) => line === "READY=1")).toHaveLength(1);
}, 60_000);

it("is not told that a heartbeat is alive that hangs in a cycle", async () => {
  const { path, heard } = await notifySocket();
  const clock = new ManualClock();
  const hand = new HandHardware();
  const plain = hand.as(clock);
  let hangs = false;
  const relay = plain.relay!;
  const hardware = {
    ...plain,
    relay: {
      ...relay,
      permit: (lines: Parameters<typeof relay.permit>[0]) =>
        hangs ? new Promise<void>(() => {}) : relay.permit(lines),
    },
  };
  const sweep = new Sweep({
    hardware,
    drive: USUAL_DRIVE,
    rig: fixedRig(7.1e6, "CW"),
    clock,
  });
  vi.stubEnv("NOTIFY_SOCKET", path);
  const supervisor = supervisorOf({
    environment: { NOTIFY_SOCKET: path, WATCHDOG_USEC: "3000000" },
    clock,
    onTrouble: (text) => expect.unreachable(text),
  });
  vi.unstubAllEnvs();
  const heartbeat = new Heartbeat({
    hardware,
    program: programFrom(configFrom(undefined)),
    checkpoint: null,
    sweep,
    service: () => ({ silentSeconds: 0, log: { writable: true, diskFreeRatio: 1 } }),
    publish: () => {},
    supervisor,
    clock,
    speed: 1,
    errors: () => sweep.totals,
    residentBytes: () => 80e6,
    rigAgeSeconds: () => null,
  });
  const pass = async (beats: number): Promise<void> => {
    for (let beat = 0; beat < beats; beat += 1) {
      clock.advance(1);
      for (let turn = 0; turn < 60; turn += 1) await Promise.resolve();
    }
  };
  await heartbeat.start();
  await pass(5);
  await vi.waitFor(() => expect(heard.filter(isAlive)).toHaveLength(5), PATIENT);
  hangs = true;
  await pass(60);
  // The pipe keeps its order: what the hanging minute had said would have arrived before this.
  supervisor.stopping();
  supervisor.close();
  await vi.waitFor(() => expect(heard).toContain("STOPPING=1"), PATIENT);
  expect(heard.filter(isAlive)).toHaveLength(5);
}, 60_000);
