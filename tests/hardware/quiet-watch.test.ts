// The watch for a missing pulse when the process itself was held up: then a late timer is no proof of a stopped fan.
import { describe, expect, it } from "vitest";
import type { Clock } from "../../hardware/ports.ts";
import { QuietWatch } from "../../hardware/quiet-watch.ts";
import { ManualClock } from "../support/manual-clock.ts";

/** A clock whose time can run ahead of its timers, as it does in a process that is held up. */
function heldUpClock(): { readonly clock: Clock; readonly timers: ManualClock; holdUp(seconds: number): void } {
  const timers = new ManualClock();
  let aheadSeconds = 0;
  const clock: Clock = {
    bootId: timers.bootId,
    monotonicSeconds: () => timers.monotonicSeconds() + aheadSeconds,
    wallSeconds: () => timers.wallSeconds(),
    wallIsTrusted: () => true,
    after: (seconds, task) => timers.after(seconds, task),
  };
  return {
    clock,
    timers,
    holdUp: (seconds) => {
      aheadSeconds += seconds;
    },
  };
}

function turning(): { watch: QuietWatch; calls: number[] } & ReturnType<typeof heldUpClock> {
  const held = heldUpClock();
  const calls: number[] = [];
  const watch = new QuietWatch(held.clock, 0.3, () => calls.push(held.clock.monotonicSeconds()));
  for (let pulse = 0; pulse < 100; pulse += 1) {
    held.timers.advance(0.01);
    watch.pulse(held.clock.monotonicSeconds());
  }
  return { ...held, watch, calls };
}

describe("a QuietWatch in a process that was held up", () => {
  it("waits a moment for the edges that could not be delivered, and does not call when they come", () => {
    const { watch, calls, clock, timers, holdUp } = turning();
    holdUp(1);
    // The timer in force was set 0.3 s before a look that fell between pulses, so it is due 0.2 to 0.21 s after the last.
    timers.advance(0.215);
    expect(calls).toEqual([]);
    watch.pulse(clock.monotonicSeconds());
    timers.advance(0.2);
    expect(calls).toEqual([]);
  });

  it("calls after that moment when they do not come", () => {
    const { calls, timers, holdUp } = turning();
    holdUp(1);
    // The timer in force was set 0.3 s before a look that fell between pulses, so it is due 0.2 to 0.21 s after the last.
    timers.advance(0.215);
    expect(calls).toEqual([]);
    timers.advance(0.05);
    expect(calls).toHaveLength(1);
  });
});
