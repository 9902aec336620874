// The page's model: snapshot, deltas, gaps, age. A number is only as young as the daemon's own clock says.

import { describe, expect, it } from "vitest";
import { diffFrames } from "../../daemon/wire/delta.ts";
import type { Frame } from "../../daemon/wire/frame.ts";
import { ageSeconds, EMPTY_MODEL, freshness, type Model, reduce } from "../../web/model.ts";
import { ABOUT, bad, frameWith, good } from "./frames.ts";

const first = frameWith();
const second = frameWith({ at_seconds: 5001, quantities: { inlet_celsius: bad("NACK"), drive_watts: good(0) } });

const snapshot = (frame: Frame, sequence: number, atSeconds: number, bootId = ABOUT.boot_id) =>
  ({
    kind: "message",
    atSeconds,
    message: { type: "snapshot", sequence, about: { ...ABOUT, boot_id: bootId }, frame },
  }) as const;
const delta = (before: Frame, after: Frame, sequence: number, atSeconds: number) =>
  ({ kind: "message", atSeconds, message: { type: "delta", sequence, delta: diffFrames(before, after) } }) as const;

const open: Model = reduce(EMPTY_MODEL, { kind: "link", state: "open" });

describe("the model", () => {
  it("becomes the daemon's frame by snapshot and delta", () => {
    const model = [snapshot(first, 7, 1), delta(first, second, 8, 2)].reduce(reduce, open);
    expect(model.frame).toEqual(second);
    expect(model.sequence).toBe(8);
    expect(model.gap).toBe(false);
    expect(ageSeconds(model, 2.5)).toBeCloseTo(0.5, 12);
  });

  it("takes nothing from a delta that does not follow, and asks for a snapshot", () => {
    const model = [snapshot(first, 7, 1), delta(first, second, 9, 2)].reduce(reduce, open);
    expect(model.gap).toBe(true);
    expect(model.frame).toEqual(first);
    expect(ageSeconds(model, 4)).toBe(3);
    const again = reduce(model, snapshot(second, 9, 4));
    expect(again.gap).toBe(false);
    expect(again.frame).toEqual(second);
  });

  it("takes no delta before a snapshot of the same connection", () => {
    const dropped = [snapshot(first, 7, 1), { kind: "link", state: "waiting" } as const].reduce(reduce, open);
    expect(dropped.frame).toEqual(first);
    const model = reduce(reduce(dropped, { kind: "link", state: "open" }), delta(first, second, 8, 3));
    expect(model.gap).toBe(true);
    expect(model.frame).toEqual(first);
  });

  it("does not grow younger by hearing the same frame again", () => {
    const model = [snapshot(first, 7, 1), snapshot(first, 7, 9)].reduce(reduce, open);
    expect(ageSeconds(model, 9)).toBe(8);
    const other = reduce(model, snapshot(first, 1, 9, "boot-b"));
    expect(ageSeconds(other, 9)).toBe(0);
  });

  it("grades freshness at 3 s and 10 s", () => {
    expect([null, 0, 3, 3.01, 10, 10.01].map(freshness)).toEqual([
      "never",
      "fresh",
      "fresh",
      "stale",
      "stale",
      "silent",
    ]);
    expect(ageSeconds(open, 99)).toBeNull();
  });
});
