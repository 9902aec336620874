// The tach line: speed, quiet and noise as a cycle sees them, and the call when the pulses stop. Time is moved by hand.
import { beforeEach, describe, expect, it } from "vitest";
import type { Board, EdgeLine } from "../../hardware/ports.ts";
import { type OpenedTachometer, openTachometer } from "../../hardware/tachometer.ts";
import { ManualClock } from "../support/manual-clock.ts";

const LINE = { chipLabel: null, offset: 24 };
/** 11 000 rpm at two pulses a revolution. */
const FAST_HERTZ = 11_000 / 30;

let clock: ManualClock;
let listeners: Set<(atSeconds: number) => void>;
let closed: boolean;
/** Edges that the system has but this process was too busy to take. */
let waiting: number;
let levelFails: boolean;
let lost: number;
let tachometer: OpenedTachometer;

beforeEach(async () => {
  clock = new ManualClock();
  listeners = new Set();
  closed = false;
  waiting = 0;
  levelFails = false;
  lost = 0;
  const line: EdgeLine = {
    stampedBy: "kernel",
    get lostEdges() {
      return lost;
    },
    onEdge: (listener) => {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    read: async () => {
      if (levelFails) throw new Error("no level");
      for (; waiting > 0; waiting -= 1) edge();
      return 1;
    },
    close: async () => {
      closed = true;
    },
  };
  const board = { clock, edgeLine: async () => line } as unknown as Board;
  tachometer = await openTachometer({ line: LINE, bias: "pull-up", pulsesPerRevolution: 2 }, board);
});

function edge(): void {
  for (const listener of [...listeners]) listener(clock.monotonicSeconds());
}

/** Edges at a steady rate; the clock moves with them. */
function pulses(hertz: number, seconds: number): void {
  const count = Math.round(hertz * seconds);
  for (let pulse = 0; pulse < count; pulse += 1) {
    clock.advance(1 / hertz);
    edge();
  }
}

describe("a tachometer", () => {
  it("says where it is, what it counts and what level the line has", async () => {
    expect(tachometer.place).toBe("gpio 24");
    await expect(tachometer.identify()).resolves.toBe("falling edges, 2 a revolution, stamped by the kernel, level 1");
  });

  it("reads 0 before the first edge, with no edge to date from", async () => {
    await expect(tachometer.read()).resolves.toEqual({
      rpm: 0,
      regularity: null,
      rejectedEdges: 0,
      lostEdges: 0,
      secondsSinceEdge: null,
    });
  });

  it("reads a steady train", async () => {
    pulses(FAST_HERTZ, 1);
    const sample = await tachometer.read();
    expect(sample.rpm).toBeCloseTo(11_000, 3);
    expect(sample.regularity).toBeCloseTo(1, 6);
    expect(sample.secondsSinceEdge).toBeCloseTo(0, 9);
  });

  it("does not guess a speed from the first few pulses", async () => {
    pulses(100, 0.05);
    expect((await tachometer.read()).rpm).toBeNull();
  });

  it.each([
    [11_000, 0.2],
    [3000, 0.3],
    [600, 0.55],
  ])("reads 0 within %d rpm's patience after the last pulse", async (rpm, seconds) => {
    pulses(rpm / 30, 1.2);
    clock.advance(seconds);
    await expect(tachometer.read()).resolves.toMatchObject({
      rpm: 0,
      regularity: null,
      secondsSinceEdge: expect.closeTo(seconds, 9),
    });
  });

  it("keeps the speed over a gap that a busy machine makes", async () => {
    pulses(FAST_HERTZ, 1);
    clock.advance(0.1);
    expect((await tachometer.read()).rpm).toBeCloseTo(11_000, 3);
  });

  it("does not call a fan quiet whose edges wait behind other work of this process", async () => {
    pulses(FAST_HERTZ, 1);
    clock.advance(0.4);
    waiting = 1;
    await expect(tachometer.read()).resolves.toMatchObject({ secondsSinceEdge: 0 });
    expect((await tachometer.read()).rpm).toBeCloseTo(11_000, -2);
  });

  it("calls a line quiet that stays so, whether or not its level can be read", async () => {
    pulses(FAST_HERTZ, 1);
    clock.advance(0.4);
    await expect(tachometer.read()).resolves.toMatchObject({ rpm: 0 });
    levelFails = true;
    await expect(tachometer.read()).resolves.toMatchObject({ rpm: 0 });
  });

  it("counts bounce as rejected edges and still reads the speed", async () => {
    for (let pulse = 0; pulse < 200; pulse += 1) {
      clock.advance(1 / FAST_HERTZ - 0.0002);
      edge();
      clock.advance(0.0002);
      edge();
    }
    const sample = await tachometer.read();
    expect(sample.rejectedEdges).toBe(200);
    expect(sample.rpm).toBeCloseTo(11_000, 3);
  });

  it("never takes edges for a speed that follow without pause", async () => {
    pulses(FAST_HERTZ, 1);
    pulses(1700, 0.5);
    const sample = await tachometer.read();
    expect(sample).toMatchObject({ rpm: null, regularity: 0 });
    expect(sample.secondsSinceEdge).toBeCloseTo(0.5, 2);
  });

  it("gives the line back when it is closed", async () => {
    await tachometer.close();
    expect(closed).toBe(true);
    expect(listeners.size).toBe(0);
  });
});

describe("a flood of noise", () => {
  it("is listened to only for moments, and reads as no speed throughout", async () => {
    let heard = 0;
    const readings: (number | null)[] = [];
    for (let tenth = 0; tenth < 50; tenth += 1) {
      for (let each = 0; each < 2000; each += 1) {
        clock.advance(1 / 20_000);
        heard += listeners.size;
        edge();
      }
      readings.push((await tachometer.read()).rpm);
    }
    expect(readings.every((rpm) => rpm === null)).toBe(true);
    // Of 100 000 edges in five seconds.
    expect(heard).toBeLessThan(3000);
    expect(heard).toBeGreaterThan(1000);
  });

  it("is not taken for a stopped fan while nobody listens", async () => {
    pulses(FAST_HERTZ, 1);
    pulses(20_000, 0.02);
    expect(listeners.size).toBe(0);
    clock.advance(0.3);
    await expect(tachometer.read()).resolves.toMatchObject({ rpm: null, regularity: 0 });
  });

  it("leaves nothing behind: the next steady train is read", async () => {
    pulses(20_000, 1);
    pulses(FAST_HERTZ, 2);
    expect((await tachometer.read()).rpm).toBeCloseTo(11_000, 3);
  });
});

describe("onQuiet", () => {
  it("calls once when an 11 000 rpm fan stops, within half a second", () => {
    const calls: number[] = [];
    tachometer.onQuiet(0.3, () => calls.push(clock.monotonicSeconds()));
    pulses(FAST_HERTZ, 5);
    const stopped = clock.monotonicSeconds();
    clock.advance(10);
    expect(calls).toEqual([expect.closeTo(stopped + 0.3, 6)]);
    expect((calls[0] ?? 0) - stopped).toBeLessThan(0.5);
  });

  it("calls again after the fan has turned again", () => {
    let calls = 0;
    tachometer.onQuiet(0.3, () => {
      calls += 1;
    });
    for (const turn of [1, 2, 3]) {
      pulses(100, 1);
      clock.advance(2);
      expect(calls).toBe(turn);
    }
  });

  it("does not call for a single spike on a still line, nor before any pulse", () => {
    let calls = 0;
    tachometer.onQuiet(0.3, () => {
      calls += 1;
    });
    clock.advance(5);
    edge();
    clock.advance(5);
    expect(calls).toBe(0);
  });

  it("calls when pulses drown in noise, for a good pulse is missing then too", () => {
    let calls = 0;
    tachometer.onQuiet(0.3, () => {
      calls += 1;
    });
    pulses(FAST_HERTZ, 1);
    pulses(20_000, 1);
    expect(calls).toBe(1);
  });

  it("sets a handful of timers for thousands of pulses", () => {
    let timers = 0;
    const after = clock.after.bind(clock);
    clock.after = (seconds, task) => {
      timers += 1;
      return after(seconds, task);
    };
    tachometer.onQuiet(0.3, () => undefined);
    pulses(FAST_HERTZ, 10);
    expect(timers).toBeLessThanOrEqual(35);
  });

  it("stops calling after its cancel and after close", async () => {
    let calls = 0;
    const cancel = tachometer.onQuiet(0.3, () => {
      calls += 1;
    });
    pulses(100, 1);
    cancel();
    clock.advance(1);
    tachometer.onQuiet(0.3, () => {
      calls += 1;
    });
    pulses(100, 1);
    await tachometer.close();
    clock.advance(1);
    expect(calls).toBe(0);
    expect(clock.pending).toBe(0);
  });

  it.each([0, -1, 61, Number.NaN])("refuses a quiet of %d s", (seconds) => {
    expect(() => tachometer.onQuiet(seconds, () => undefined)).toThrow(RangeError);
  });
});
