// The simulated rig does what the permit lines let it.
import { describe, expect, it } from "vitest";
import { SimulatedRig } from "../../../hardware/simulated/rig.ts";
import { keyDown, playOvers } from "./overs.ts";

const carrier = playOvers(keyDown({ startSeconds: 1, seconds: 100, watts: 1500, frequencyHertz: 3.6e6 }));
const all = { reduce: true, inhibit: true };

/** A rig stepped through `seconds`, with these permits throughout. */
function rigAfter(seconds: number, permits: { reduce: boolean; inhibit: boolean }): SimulatedRig {
  const rig = new SimulatedRig(carrier, { reducedWatts: 400, startSeconds: 0 });
  for (let tenth = 0; tenth < seconds * 10; tenth += 1) rig.step(tenth / 10, permits);
  return rig;
}

describe("the rig", () => {
  it("gives full power when both lines are permitted", () => {
    expect(rigAfter(5, all).reading()).toEqual({
      watts: 1500,
      frequencyHertz: 3.6e6,
      mode: "RTTY",
      transmitting: true,
    });
  });

  it("averages power over the last second", () => {
    expect(rigAfter(1, all).reading().watts).toBe(0);
    expect(rigAfter(1.3, all).reading().watts).toBeCloseTo(450, 9);
    expect(rigAfter(2, all).reading().watts).toBeCloseTo(1500, 9);
  });

  it("limits power while `reduce` is released", () => {
    expect(rigAfter(5, { reduce: false, inhibit: true }).reading().watts).toBe(400);
  });

  it("transmits nothing while `inhibit` is released, whatever `reduce` says", () => {
    for (const reduce of [true, false]) {
      const reading = rigAfter(5, { reduce, inhibit: false }).reading();
      expect(reading.watts).toBe(0);
      expect(reading.transmitting).toBe(false);
    }
  });

  it("does not raise what is already below the reduced power", () => {
    const soft = playOvers(keyDown({ startSeconds: 0, seconds: 100, watts: 100, frequencyHertz: 7e6 }));
    const rig = new SimulatedRig(soft, { reducedWatts: 400, startSeconds: 0 });
    expect(rig.step(1, { reduce: false, inhibit: true })).toBe(100);
  });

  it("refuses a negative reduced power", () => {
    expect(() => new SimulatedRig(carrier, { reducedWatts: -1, startSeconds: 0 })).toThrow(RangeError);
  });
});
