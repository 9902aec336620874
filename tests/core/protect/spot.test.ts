// Core readings that are some seconds old: carried forward along the estimate's own change, and refused when too old.

import { describe, expect, it } from "vitest";
import {
  carryForward,
  extendTrail,
  OLDEST_SPOT_SECONDS,
  shiftTrail,
  type Trail,
} from "../../../daemon/core/protect/spot.ts";

/** A core that cools by 0.25 K a second from 100 °C, as in ten seconds of delay and 2.5 K. */
const coreAt = (seconds: number): number => 100 - 0.25 * seconds;
const trailUntil = (seconds: number): Trail => {
  let trail: Trail = [];
  for (let second = 0; second <= seconds; second += 1) trail = extendTrail(trail, coreAt(second), second);
  return trail;
};

describe("a spot reading", () => {
  it("of this second is taken as it is", () => {
    expect(carryForward([], 50, 77, 0, 0)).toBe(77);
  });

  it.each([0, 3, 10, 47.5, 120])("taken %d s ago is carried forward by what the estimate did since", (secondsAgo) => {
    const trail = trailUntil(200);
    const off = 4;
    const spot = coreAt(200 - secondsAgo) + off;
    expect(carryForward(trail, coreAt(200), spot, secondsAgo, 200)).toBeCloseTo(coreAt(200) + off, 9);
  });

  it("older than two minutes, or than the estimate, is refused", () => {
    expect(carryForward(trailUntil(500), coreAt(500), 80, OLDEST_SPOT_SECONDS + 1, 500)).toBeNull();
    expect(carryForward(trailUntil(30), coreAt(30), 80, 40, 30)).toBeNull();
  });

  it("is not counted as a change of the core afterwards", () => {
    const trail = shiftTrail(trailUntil(200), 6);
    expect(carryForward(trail, coreAt(200) + 6, 90, 60, 200)).toBeCloseTo(90 + coreAt(200) - coreAt(140), 9);
  });

  it("needs a short trail only", () => {
    expect(trailUntil(5000).length).toBeLessThanOrEqual(OLDEST_SPOT_SECONDS / 10 + 2);
    const trail = trailUntil(100);
    expect(extendTrail(trail, 1, 101)).toBe(trail);
  });
});
