// The two permit lines: released until permitted, released first, driven each on its own, read back, released at the end.

import { beforeEach, describe, expect, it } from "vitest";
import { HardwareError } from "../../hardware/errors.ts";
import { headerOffset } from "../../hardware/gpio/header-lines.ts";
import type { Board, LineSpec, OutputLine } from "../../hardware/ports.ts";
import { openRelay, releaseLines } from "../../hardware/relay.ts";
import { ManualClock } from "../support/manual-clock.ts";
import { systemError } from "../support/register-chip.ts";

const SPEC = { reduce: { chipLabel: null, offset: 5 }, inhibit: { chipLabel: null, offset: 6 } };

/** Pins that keep their level between openings, as the hardware does, with faults a test can set. */
class Pins {
  readonly clock = new ManualClock();
  readonly level = new Map<number, 0 | 1>();
  readonly log: string[] = [];
  readonly stuckHigh = new Set<number>();
  readonly broken = new Set<number>();
  readonly hanging = new Set<number>();
  readonly absent = new Set<number>();
  readonly open = new Set<number>();

  board(): Board {
    return {
      clock: this.clock,
      outputLine: (spec: LineSpec) => this.#line(headerOffset(spec) ?? Number.NaN),
    } as unknown as Board;
  }

  /** The next so many writes to a line fail. */
  readonly refusals = new Map<number, number>();

  async #line(offset: number): Promise<OutputLine> {
    if (this.absent.has(offset)) throw new HardwareError("LINE_MISSING", `gpio ${offset}`);
    this.open.add(offset);
    this.#put(offset, 0);
    return {
      write: async (level) => {
        if (this.hanging.has(offset)) await new Promise(() => undefined);
        const left = this.refusals.get(offset) ?? 0;
        this.refusals.set(offset, Math.max(0, left - 1));
        if (left > 0) throw systemError("EIO");
        if (this.broken.has(offset)) throw systemError("EIO");
        this.log.push(`${offset}=${level}`);
        this.#put(offset, level);
      },
      read: async () => this.level.get(offset) ?? 0,
      close: async () => {
        this.open.delete(offset);
        this.#put(offset, 0);
      },
    };
  }

  #put(offset: number, level: 0 | 1): void {
    this.level.set(offset, this.stuckHigh.has(offset) ? 1 : level);
  }
}

let pins: Pins;
beforeEach(() => {
  pins = new Pins();
});

describe("openRelay", () => {
  it("releases lines that a crash left energised", async () => {
    pins.level.set(5, 1);
    pins.level.set(6, 1);
    const relay = await openRelay(SPEC, pins.board());
    await expect(relay.readBack()).resolves.toEqual({ reduce: false, inhibit: false });
    expect([pins.level.get(5), pins.level.get(6)]).toEqual([0, 0]);
    expect(relay.place).toBe("gpio 5, gpio 6");
  });

  it("rejects one line for both, for then one failure would take both", async () => {
    await expect(openRelay({ reduce: SPEC.reduce, inhibit: SPEC.reduce }, pins.board())).rejects.toMatchObject({
      code: "LINE_BUSY",
    });
  });

  it("releases and gives back the line that opened when the other does not", async () => {
    pins.absent.add(5);
    pins.level.set(6, 1);
    await expect(openRelay(SPEC, pins.board())).rejects.toMatchObject({ code: "LINE_MISSING", place: "gpio 5" });
    expect(pins.level.get(6)).toBe(0);
    expect(pins.open.size).toBe(0);
  });

  it("rejects a line that reads energised although it was released", async () => {
    pins.stuckHigh.add(6);
    await expect(openRelay(SPEC, pins.board())).rejects.toMatchObject({ code: "READBACK" });
    expect(pins.open.size).toBe(0);
  });
});

describe("permit", () => {
  it.each([
    { reduce: true, inhibit: true },
    { reduce: false, inhibit: true },
    { reduce: false, inhibit: false },
  ])("drives %o and reads it back", async (permits) => {
    const relay = await openRelay(SPEC, pins.board());
    await relay.permit(permits);
    await expect(relay.readBack()).resolves.toEqual(permits);
  });

  it("releases before it energises", async () => {
    const relay = await openRelay(SPEC, pins.board());
    await relay.permit({ reduce: true, inhibit: false });
    expect(pins.log).toEqual(["6=0", "5=1"]);
  });

  it("drives the other line when one cannot be driven, then reports", async () => {
    const relay = await openRelay(SPEC, pins.board());
    await relay.permit({ reduce: true, inhibit: true });
    pins.broken.add(5);
    await expect(relay.permit({ reduce: false, inhibit: false })).rejects.toMatchObject({
      code: "IO",
      place: "gpio 5",
    });
    await expect(relay.readBack()).resolves.toEqual({ reduce: true, inhibit: false });
  });

  it("asks a line again at once that refuses to be released, but not one that refuses to be energised", async () => {
    const relay = await openRelay(SPEC, pins.board());
    await relay.permit({ reduce: true, inhibit: true });
    pins.refusals.set(5, 2);
    await relay.permit({ reduce: false, inhibit: true });
    expect(pins.level.get(5)).toBe(0);
    pins.refusals.set(5, 1);
    await expect(relay.permit({ reduce: true, inhibit: true })).rejects.toMatchObject({ code: "IO" });
    expect(pins.level.get(5)).toBe(0);
  });

  it("does not let a hanging line keep the other one", async () => {
    const relay = await openRelay(SPEC, pins.board());
    await relay.permit({ reduce: true, inhibit: true });
    pins.hanging.add(5);
    const before = pins.clock.monotonicSeconds();
    await expect(pins.clock.settle(relay.permit({ reduce: false, inhibit: false }))).rejects.toMatchObject({
      code: "TIMEOUT",
    });
    expect(pins.level.get(6)).toBe(0);
    expect(pins.clock.monotonicSeconds() - before).toBeLessThanOrEqual(0.2 + 1e-9);
  });

  it("carries out permits in the order they were given", async () => {
    const relay = await openRelay(SPEC, pins.board());
    await Promise.all([
      relay.permit({ reduce: true, inhibit: true }),
      relay.permit({ reduce: false, inhibit: false }),
      relay.permit({ reduce: false, inhibit: true }),
    ]);
    expect(pins.log).toEqual(["5=1", "6=1", "5=0", "6=0", "5=0", "6=1"]);
  });

  it("shows in the read-back a pin that does not follow", async () => {
    const relay = await openRelay(SPEC, pins.board());
    pins.stuckHigh.add(6);
    await relay.permit({ reduce: false, inhibit: false });
    await expect(relay.readBack()).resolves.toEqual({ reduce: false, inhibit: true });
  });
});

describe("close", () => {
  it("releases both lines, gives them back and refuses further calls", async () => {
    const relay = await openRelay(SPEC, pins.board());
    await relay.permit({ reduce: true, inhibit: true });
    await relay.close();
    expect([pins.level.get(5), pins.level.get(6), pins.open.size]).toEqual([0, 0, 0]);
    await expect(relay.permit({ reduce: true, inhibit: true })).rejects.toMatchObject({ code: "CLOSED" });
    await expect(relay.readBack()).rejects.toMatchObject({ code: "CLOSED" });
    await expect(relay.close()).resolves.toBeUndefined();
  });

  it("gives both lines back even when one cannot be written, and says so", async () => {
    const relay = await openRelay(SPEC, pins.board());
    pins.broken.add(5);
    await expect(relay.close()).rejects.toMatchObject({ code: "IO" });
    expect(pins.open.size).toBe(0);
  });
});

describe("releaseLines", () => {
  it("releases what another process left energised", async () => {
    pins.level.set(5, 1);
    pins.level.set(6, 1);
    await expect(releaseLines(SPEC, pins.board())).resolves.toEqual([
      { line: "reduce", place: "gpio 5", error: null },
      { line: "inhibit", place: "gpio 6", error: null },
    ]);
    expect([pins.level.get(5), pins.level.get(6), pins.open.size]).toEqual([0, 0, 0]);
  });

  it("releases one line when the other is missing, and never rejects", async () => {
    pins.absent.add(5);
    pins.level.set(6, 1);
    const [reduce, inhibit] = await releaseLines(SPEC, pins.board());
    expect(reduce?.error).toMatchObject({ code: "LINE_MISSING" });
    expect(inhibit?.error).toBeNull();
    expect(pins.level.get(6)).toBe(0);
  });

  it("says when a line stays energised", async () => {
    pins.stuckHigh.add(6);
    const [, inhibit] = await releaseLines(SPEC, pins.board());
    expect(inhibit?.error).toMatchObject({ code: "READBACK" });
  });
});
