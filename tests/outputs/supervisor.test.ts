// sd_notify (systemd: sd_notify(3), systemd-notify(1)): which lines reach `systemd-notify`, and how often.
// The program of that name is a script of the test's own that writes down what it was called with.

import { chmodSync, existsSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it, vi } from "vitest";
import { NO_SUPERVISOR, supervisorOf } from "../../daemon/outputs/supervisor.ts";
import { testFolder } from "../support/folder.ts";
import { ManualClock } from "../support/manual-clock.ts";

function listening(watchdogMicroseconds: string | undefined) {
  const folder = testFolder();
  const heard = join(folder, "heard");
  const script = join(folder, "systemd-notify");
  writeFileSync(script, `#!/bin/sh\nprintf '%s\\n' "$1" >> ${heard}\n`);
  chmodSync(script, 0o755);
  vi.stubEnv("PATH", `${folder}:${process.env["PATH"]}`);
  const clock = new ManualClock();
  const troubles: string[] = [];
  const supervisor = supervisorOf({
    environment: { NOTIFY_SOCKET: join(folder, "socket"), WATCHDOG_USEC: watchdogMicroseconds },
    clock,
    onTrouble: (text) => troubles.push(text),
  });
  vi.unstubAllEnvs();
  const lines = (): string[] => (existsSync(heard) ? readFileSync(heard, "utf8").trim().split("\n") : []);
  return { clock, supervisor, lines, troubles };
}

describe("the supervisor", () => {
  it("is nobody where no socket is named", () => {
    const options = { environment: {}, clock: new ManualClock(), onTrouble: () => {} };
    expect(supervisorOf(options)).toBe(NO_SUPERVISOR);
  });

  it("hears ready once, then alive three times per watchdog period, then stopping", async () => {
    const { clock, supervisor, lines, troubles } = listening("6000000");
    supervisor.ready("full, core at most 60 °C");
    for (let cycle = 0; cycle < 6; cycle += 1) {
      clock.advance(1);
      supervisor.alive("full, core at most 60 °C");
    }
    supervisor.stopping();
    supervisor.close();
    const expected = [
      "READY=1",
      "STATUS=full, core at most 60 °C",
      "WATCHDOG=1",
      "WATCHDOG=1",
      "WATCHDOG=1",
      "STOPPING=1",
    ];
    await vi.waitFor(() => expect(lines()).toEqual(expected), { timeout: 20_000 });
    expect(troubles).toEqual([]);
  });

  it("hears a changed status in one line, and no watchdog where none is set", async () => {
    const { clock, supervisor, lines } = listening(undefined);
    supervisor.ready("one");
    clock.advance(31);
    supervisor.alive("two\nlines");
    supervisor.close();
    await vi.waitFor(() => expect(lines()).toEqual(["READY=1", "STATUS=one", "STATUS=two lines"]), { timeout: 20_000 });
  });

  it("that cannot be told is a trouble, not an error", async () => {
    vi.stubEnv("PATH", testFolder());
    const troubles: string[] = [];
    const supervisor = supervisorOf({
      environment: { NOTIFY_SOCKET: "/nowhere" },
      clock: new ManualClock(),
      onTrouble: (text) => troubles.push(text),
    });
    vi.unstubAllEnvs();
    supervisor.ready("one");
    await vi.waitFor(() => expect(troubles).toHaveLength(1), { timeout: 20_000 });
    supervisor.alive("two");
    supervisor.close();
    expect(troubles[0]).toContain("systemd-notify");
  });
});
