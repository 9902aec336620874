// Scripts of overs, and how modes key the transmitter.
import { describe, expect, it } from "vitest";
import { MODE_SHARE, type Mode } from "../../../hardware/simulated/pattern.ts";
import { keyDown, onOff, playOvers } from "./overs.ts";

describe("scripts", () => {
  it("hold the key down from beginning to end", () => {
    const play = playOvers(keyDown({ startSeconds: 300, seconds: 2400, watts: 1500, frequencyHertz: 3.6e6 }));
    expect(play(299.9).transmitting).toBe(false);
    for (const seconds of [300, 1500, 2699.9])
      expect(play(seconds)).toEqual({
        transmitting: true,
        frequencyHertz: 3.6e6,
        mode: "RTTY",
        peakWatts: 1500,
        share: 1,
      });
    expect(play(2700).transmitting).toBe(false);
    // The rig stays where it was.
    expect(play(5000).frequencyHertz).toBe(3.6e6);
  });

  it("go on and off in turn", () => {
    const spec = { startSeconds: 0, seconds: 7200, onSeconds: 15, offSeconds: 15, watts: 900, frequencyHertz: 7.05e6 };
    const play = playOvers(onOff(spec));
    let on = 0;
    let wrong = 0;
    for (let second = 0; second < 7200; second += 1) {
      const { transmitting } = play(second + 0.5);
      if (transmitting !== second % 30 < 15) wrong += 1;
      if (transmitting) on += 1;
    }
    expect(wrong).toBe(0);
    expect(on).toBe(3600);
    expect(play(7201).transmitting).toBe(false);
  });

  it("answer the same in any order", () => {
    const over = { frequencyHertz: 3.6e6, mode: "SSB", peakWatts: 500 } as const;
    const overs = Array.from({ length: 300 }, (_, index) => ({
      ...over,
      startSeconds: 12 * index,
      endSeconds: 12 * index + 2 + (index % 5),
    }));
    const times = Array.from({ length: 500 }, (_, step) => (step * 1237.3) % 3600);
    const one = playOvers(overs, 4);
    const other = playOvers(overs, 4);
    for (const time of [...times].sort((a, b) => a - b)) one(time);
    expect(times.map((time) => one(time))).toEqual(times.map((time) => other(time)));
  });

  it("refuse overs that overlap, and none at all", () => {
    const over = { startSeconds: 0, endSeconds: 10, frequencyHertz: 7e6, mode: "CW", peakWatts: 100 } as const;
    expect(() => playOvers([over, { ...over, startSeconds: 9 }])).toThrow(/before the one at 0 s ends/);
    expect(() => playOvers([])).toThrow(/at least one over/);
  });

  it.each(Object.entries(MODE_SHARE))("key %s to %f of its peak power on average", (mode, share) => {
    const over = { startSeconds: 0, endSeconds: 3600, frequencyHertz: 7e6, mode: mode as Mode, peakWatts: 100 };
    const play = playOvers([over], 8);
    let sum = 0;
    let outside = 0;
    for (let tenth = 0; tenth < 36_000; tenth += 1) {
      const keying = play(tenth / 10 + 0.05);
      if (!(keying.share >= 0 && keying.share <= 1)) outside += 1;
      sum += keying.share;
    }
    expect(outside).toBe(0);
    expect(Math.abs(sum / 36_000 - share)).toBeLessThan(0.01);
  });
});
