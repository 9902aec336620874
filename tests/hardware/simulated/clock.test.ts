// Simulated time: pace, order, honesty at real speed, and patience when the machine cannot keep up.
import { describe, expect, it } from "vitest";
import type { Clock } from "../../../hardware/ports.ts";
import { SimulatedClock } from "../../../hardware/simulated/clock.ts";
import { ManualClock } from "../../support/manual-clock.ts";

const BOOT = "0f0f0f0f-0000-4000-8000-000000000000";

/** A clock whose timers come as late as the test wants: `stall` moves time without running anything. */
function sluggishClock() {
  let seconds = 0;
  let waiting: (() => void)[] = [];
  const clock: Clock = {
    bootId: BOOT,
    monotonicSeconds: () => seconds,
    wallSeconds: () => seconds,
    wallIsTrusted: () => true,
    after: (_seconds, task) => {
      waiting.push(task);
      return () => {
        waiting = waiting.filter((other) => other !== task);
      };
    },
  };
  return {
    clock,
    stall: (by: number) => {
      seconds += by;
    },
    wake: async () => {
      const ready = waiting;
      waiting = [];
      for (const task of ready) task();
      for (let turn = 0; turn < 1000; turn += 1) await null;
    },
  };
}

describe("a simulated clock", () => {
  it("runs as many times as fast as the one underneath, timers included", async () => {
    const base = new ManualClock();
    const clock = new SimulatedClock({ base, speed: 60, bootId: BOOT });
    const start = clock.monotonicSeconds();
    const fired: number[] = [];
    clock.after(30, () => fired.push(clock.monotonicSeconds() - start));
    clock.after(90, () => fired.push(clock.monotonicSeconds() - start));
    await base.advanceAsync(0.49);
    expect(fired).toEqual([]);
    await base.advanceAsync(0.02);
    expect(fired).toHaveLength(1);
    await base.advanceAsync(1);
    expect(fired[0]).toBeCloseTo(30, 6);
    expect(fired[1]).toBeCloseTo(90, 6);
    expect(clock.monotonicSeconds() - start).toBeCloseTo(60 * 1.51, 6);
  });

  it("runs tasks in the order of their moments, each at its own moment, those set meanwhile included", async () => {
    const { clock: base, stall, wake } = sluggishClock();
    const clock = new SimulatedClock({ base, speed: 100, bootId: BOOT });
    const start = clock.monotonicSeconds();
    const log: [string, number][] = [];
    const note = (name: string) => log.push([name, Math.round((clock.monotonicSeconds() - start) * 1000) / 1000]);
    clock.after(20, () => note("late"));
    clock.after(5, () => {
      note("early");
      clock.after(3, () => note("set meanwhile"));
    });
    clock.after(5, () => note("early too"));
    stall(0.3);
    // Nothing has run, so the first moment cannot have passed yet.
    expect(clock.monotonicSeconds() - start).toBeCloseTo(5, 9);
    await wake();
    expect(log).toEqual([
      ["early", 5],
      ["early too", 5],
      ["set meanwhile", 8],
      ["late", 20],
    ]);
    expect(clock.monotonicSeconds() - start).toBeCloseTo(30, 9);
  });

  it("lets promises end before it goes on", async () => {
    const { clock: base, stall, wake } = sluggishClock();
    const clock = new SimulatedClock({ base, speed: 100, bootId: BOOT });
    const start = clock.monotonicSeconds();
    const seen: number[] = [];
    let chain: Promise<void> = Promise.resolve();
    clock.after(1, () => {
      for (let hop = 0; hop < 20; hop += 1) chain = chain.then(() => {});
      chain = chain.then(() => {
        seen.push(clock.monotonicSeconds() - start);
      });
    });
    clock.after(2, () => seen.push(clock.monotonicSeconds() - start));
    stall(0.1);
    await wake();
    await chain;
    expect(seen[0]).toBeCloseTo(1, 9);
    expect(seen[1]).toBeCloseTo(2, 9);
  });

  it("shows a stall of the machine at real speed", async () => {
    const { clock: base, stall, wake } = sluggishClock();
    const clock = new SimulatedClock({ base, speed: 1, bootId: BOOT });
    const start = clock.monotonicSeconds();
    let ranAt = Number.NaN;
    clock.after(1, () => {
      ranAt = clock.monotonicSeconds() - start;
    });
    stall(4);
    expect(clock.monotonicSeconds() - start).toBeCloseTo(4, 9);
    await wake();
    expect(ranAt).toBeCloseTo(4, 9);
  });

  it("slows down instead of rushing after a backlog it cannot make good", async () => {
    const { clock: base, stall, wake } = sluggishClock();
    const clock = new SimulatedClock({ base, speed: 10, bootId: BOOT });
    const start = clock.monotonicSeconds();
    let runs = 0;
    const again = (): void => {
      runs += 1;
      clock.after(1, again);
    };
    clock.after(1, again);
    stall(3600);
    await wake();
    expect(runs).toBe(1);
    stall(0.2);
    await wake();
    expect(runs).toBe(3);
    expect(clock.monotonicSeconds() - start).toBeLessThan(4.001);
  });

  it("forgets a cancelled task, and cancelling twice is harmless", async () => {
    const base = new ManualClock();
    const clock = new SimulatedClock({ base, speed: 1, bootId: BOOT });
    let ran = false;
    const cancel = clock.after(1, () => {
      ran = true;
    });
    cancel();
    cancel();
    await base.advanceAsync(5);
    expect(ran).toBe(false);
    expect(base.pending).toBe(0);
  });

  it("never runs backwards", async () => {
    const base = new ManualClock();
    const clock = new SimulatedClock({ base, speed: 7, bootId: BOOT });
    let latest = clock.monotonicSeconds();
    for (let step = 0; step < 200; step += 1) {
      clock.after((step * 37) % 11, () => {
        expect(clock.monotonicSeconds()).toBeGreaterThanOrEqual(latest);
        latest = clock.monotonicSeconds();
      });
      await base.advanceAsync(0.3);
      expect(clock.monotonicSeconds()).toBeGreaterThanOrEqual(latest);
      latest = clock.monotonicSeconds();
    }
  });

  it("has a wall time of its own that can be wrong while monotonic time goes on", () => {
    const base = new ManualClock();
    let error = 0;
    const clock = new SimulatedClock({
      base,
      speed: 1,
      bootId: BOOT,
      wallSeconds: 1_760_000_000,
      wallErrorSeconds: () => error,
      wallIsTrusted: () => error === 0,
    });
    const monotonic = clock.monotonicSeconds();
    base.advance(10);
    expect(clock.wallSeconds()).toBeCloseTo(1_760_000_010, 6);
    error = -86_400;
    expect(clock.wallSeconds()).toBeCloseTo(1_760_000_010 - 86_400, 6);
    expect(clock.wallIsTrusted()).toBe(false);
    expect(clock.monotonicSeconds() - monotonic).toBeCloseTo(10, 9);
  });

  it.each([0, 0.5, 3601, Number.NaN])("refuses to run %s times as fast", (speed) => {
    expect(() => new SimulatedClock({ base: new ManualClock(), speed, bootId: BOOT })).toThrow(/1 to 3600/);
  });

  it("refuses to wait for nothing", () => {
    const clock = new SimulatedClock({ base: new ManualClock(), speed: 1, bootId: BOOT });
    expect(() => clock.after(Number.NaN, () => {})).toThrow(RangeError);
  });
});
