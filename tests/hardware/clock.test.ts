// The machine's clock, the evidence that its wall time is right, and deadlines; timed parts run on a clock moved by hand.
import { utimes } from "node:fs/promises";
import { afterEach, describe, expect, it, vi } from "vitest";
import { pause, SystemClock, systemClock, withDeadline } from "../../hardware/clock.ts";
import { kernelTree } from "../support/kernel-tree.ts";
import { ManualClock } from "../support/manual-clock.ts";

const BOOT_ID = { "/proc/sys/kernel/random/boot_id": "5d4a3f1e-7a0b-4c55-9a2e-0d6f1f2b3c4d\n" };

describe("systemClock", () => {
  it("reads the kernel's boot id", async () => {
    const clock = await systemClock({ root: await kernelTree(BOOT_ID) });
    expect(clock.bootId).toBe("5d4a3f1e-7a0b-4c55-9a2e-0d6f1f2b3c4d");
  });

  it("gives each start a boot of its own where there is no kernel to ask", async () => {
    const root = await kernelTree({});
    const [first, second] = await Promise.all([systemClock({ root }), systemClock({ root })]);
    expect(first.bootId).toMatch(/^[0-9a-f-]{36}$/);
    expect(first.bootId).not.toBe(second.bootId);
  });

  it("agrees with another clock of the same boot and never goes back", async () => {
    const [first, second] = await Promise.all([systemClock(), systemClock()]);
    const times = [first, second, first, second].map((clock) => clock.monotonicSeconds());
    expect(times).toEqual(times.toSorted((a, b) => a - b));
  });

  it("runs a task after the wait and not after its cancel", async () => {
    const clock = await systemClock();
    const ran: string[] = [];
    clock.after(0, () => ran.push("cancelled"))();
    await new Promise<void>((resolve) => {
      clock.after(0.001, () => {
        ran.push("run");
        resolve();
      });
    });
    expect(ran).toEqual(["run"]);
  });

  it.each([-1, Number.NaN, Number.POSITIVE_INFINITY, 3e6])("refuses a wait of %d s", async (seconds) => {
    const clock = await systemClock();
    expect(() => clock.after(seconds, () => undefined)).toThrow(RangeError);
  });
});

describe("wallIsTrusted", () => {
  it("is false without evidence", async () => {
    const clock = await systemClock({ root: await kernelTree(BOOT_ID) });
    expect(clock.wallIsTrusted()).toBe(false);
  });

  // systemd-timesyncd.service(8): /run/systemd/timesync/synchronized is touched on each successful synchronisation.
  it("is true once timesyncd has touched its file", async () => {
    const root = await kernelTree({ ...BOOT_ID, "/run/systemd/timesync/synchronized": "" });
    expect((await systemClock({ root })).wallIsTrusted()).toBe(true);
  });

  it.each(["/var/lib/chrony/chrony.drift", "/var/lib/chrony/drift", "/var/lib/ntpsec/ntp.drift"])(
    "believes %s only when it was written since boot",
    async (path) => {
      const root = await kernelTree({ ...BOOT_ID, [path]: "0.1 0.01" });
      expect((await systemClock({ root })).wallIsTrusted()).toBe(true);
      await utimes(`${root}${path}`, 1000, 1000);
      expect((await systemClock({ root })).wallIsTrusted()).toBe(false);
    },
  );
});

describe("a boot that began before the last one ended", () => {
  afterEach(() => {
    vi.useRealTimers();
  });

  it("takes no drift file of the last boot for its own, not even once its clock has passed the file's date", async () => {
    const path = "/var/lib/chrony/chrony.drift";
    const root = await kernelTree({ ...BOOT_ID, [path]: "0.1 0.01" });
    const now = Date.now();
    await utimes(`${root}${path}`, now / 1000 + 1200, now / 1000 + 1200);
    vi.useFakeTimers({ toFake: ["Date"], now });
    const clock = new SystemClock(root, "boot");
    await clock.refreshTrust();
    expect(clock.wallIsTrusted()).toBe(false);
    vi.setSystemTime(now + 1_500_000);
    await clock.refreshTrust();
    expect(clock.wallIsTrusted()).toBe(false);
    await utimes(`${root}${path}`, now / 1000 + 1450, now / 1000 + 1450);
    await clock.refreshTrust();
    expect(clock.wallIsTrusted()).toBe(true);
  });

  it("takes a file of this very millisecond for its own: a file's time is finer than the clock's", async () => {
    const path = "/var/lib/chrony/chrony.drift";
    const root = await kernelTree({ ...BOOT_ID, [path]: "0.1 0.01" });
    const now = Date.now();
    await utimes(`${root}${path}`, now / 1000 + 0.0007, now / 1000 + 0.0007);
    vi.useFakeTimers({ toFake: ["Date"], now });
    const clock = new SystemClock(root, "boot");
    await clock.refreshTrust();
    expect(clock.wallIsTrusted()).toBe(true);
  });
});

describe("withDeadline", () => {
  it("gives the value and leaves no timer behind", async () => {
    const clock = new ManualClock();
    await expect(withDeadline(clock, 1, "here", Promise.resolve(7))).resolves.toBe(7);
    expect(clock.pending).toBe(0);
  });

  it("gives the work's own failure and leaves no timer behind", async () => {
    const clock = new ManualClock();
    await expect(withDeadline(clock, 1, "here", Promise.reject(new Error("own")))).rejects.toThrow("own");
    expect(clock.pending).toBe(0);
  });

  it("rejects with TIMEOUT at its place when the time has come, and not before", async () => {
    const clock = new ManualClock();
    const outcomes: unknown[] = [];
    const work = withDeadline(clock, 1, "i2c-1 0x48", new Promise<never>(() => undefined));
    const done = work.catch((error: unknown) => outcomes.push(error));
    await clock.advanceAsync(0.999);
    expect(outcomes).toEqual([]);
    await clock.advanceAsync(0.001);
    await done;
    expect(outcomes).toEqual([expect.objectContaining({ code: "TIMEOUT", place: "i2c-1 0x48" })]);
  });
});

describe("pause", () => {
  it("takes its time on the given clock", async () => {
    const clock = new ManualClock({ monotonicSeconds: 10 });
    await clock.settle(pause(clock, 2.5));
    expect(clock.monotonicSeconds()).toBe(12.5);
  });
});
