// The made-up operator: lively, lawful as to bands, and the same for one seed.
import { describe, expect, it } from "vitest";
import { bandAt, frequencyIn } from "../../../hardware/simulated/bands.ts";
import { eveningPattern } from "../../../hardware/simulated/evening.ts";
import { BANDS } from "../../../hardware/simulated/plant-parameters.ts";

describe("an evening at the rig", () => {
  it("is the same for one seed in any order, another for the next", () => {
    const times = Array.from({ length: 400 }, (_, step) => (step * 7919) % 86_400);
    const one = eveningPattern(11);
    const other = eveningPattern(11);
    const answers = times.map((time) => one(time));
    const reversed = [...times].reverse().map((time) => other(time));
    expect(reversed.reverse()).toEqual(answers);
    expect(times.map((time) => eveningPattern(12)(time))).not.toEqual(answers);
  });

  it.each(["ordinary", "contest"] as const)("stays inside the bands and within its power (%s)", (style) => {
    const play = eveningPattern(3, style);
    const bands = new Set<string>();
    const modes = new Set<string>();
    let on = 0;
    let strongest = 0;
    for (let second = 0; second < 86_400; second += 1) {
      const keying = play(second);
      bands.add(bandAt(keying.frequencyHertz) ?? "outside");
      strongest = Math.max(strongest, keying.peakWatts);
      if (!keying.transmitting) continue;
      on += 1;
      modes.add(keying.mode);
    }
    expect(strongest).toBe(1500);
    expect([...bands].sort()).toEqual(["20 m", "40 m", "80 m"]);
    expect([...modes].sort()).toEqual(style === "contest" ? ["CW", "RTTY"] : ["CW", "FT8", "RTTY", "SSB"]);
    const duty = on / 86_400;
    expect(duty).toBeGreaterThan(style === "contest" ? 0.4 : 0.25);
    expect(duty).toBeLessThan(0.7);
  });

  it("transmits within the first minute of nearly every evening hour of a contest", () => {
    let lively = 0;
    for (let seed = 0; seed < 50; seed += 1) {
      const play = eveningPattern(seed, "contest");
      if (Array.from({ length: 60 }, (_, second) => play(20 * 3600 + second).transmitting).some(Boolean)) lively += 1;
    }
    expect(lively).toBe(50);
  });

  it("keeps fixed slots in the digital mode: each over of a stint begins on a quarter minute", () => {
    const play = eveningPattern(21);
    let before = play(0);
    let starts = 0;
    let latest = 0;
    for (let tenth = 1; tenth < 216_000; tenth += 1) {
      const now = play(tenth / 10);
      if (now.mode === "FT8" && now.transmitting && !before.transmitting && before.mode === "FT8") {
        starts += 1;
        const slot = (tenth / 10) % 15;
        latest = Math.max(latest, Math.min(slot, 15 - slot));
      }
      before = now;
    }
    expect(starts).toBeGreaterThan(20);
    expect(latest).toBeLessThan(0.11);
  });
});

describe("band names", () => {
  it("come back from a frequency inside, and not from one outside", () => {
    for (const band of BANDS) {
      expect(bandAt(frequencyIn(band, 0))).toBe(band);
      expect(bandAt(frequencyIn(band, 0.5))).toBe(band);
      expect(bandAt(frequencyIn(band, 1))).toBe(band);
    }
    for (const hertz of [1e6, 5e6, 9e6, 12e6, 27e6, 30e6]) expect(bandAt(hertz)).toBeNull();
  });
});
