// The rig's word as the heartbeat has it: with its age, and not at all once it is too old.

import { describe, expect, it } from "vitest";
import { fixedRig, HeardRig, OLDEST_WORD_SECONDS, type RigWord } from "../../daemon/station/rig.ts";
import { ManualClock } from "../support/manual-clock.ts";

const word = (atSeconds: number): RigWord => ({
  atSeconds,
  frequencyHertz: 7.03e6,
  mode: "CW",
  transmitting: true,
  powerRatio: 0.5,
  meterWatts: 50,
  swr: null,
});

describe("a linked rig", () => {
  it("is silent before its first word, and grows older meanwhile", () => {
    const clock = new ManualClock();
    const rig = new HeardRig(clock);
    clock.advance(12);
    expect(rig.reading()).toMatchObject({ frequencyHertz: null, transmitting: null, ageSeconds: 12 });
  });

  it("is heard with its age until the word is too old, and its age goes on", () => {
    const clock = new ManualClock();
    const rig = new HeardRig(clock);
    rig.hear(word(clock.monotonicSeconds()));
    clock.advance(OLDEST_WORD_SECONDS);
    expect(rig.reading()).toMatchObject({ frequencyHertz: 7.03e6, mode: "CW", meterWatts: 50, ageSeconds: 5 });
    clock.advance(0.1);
    expect(rig.reading()).toMatchObject({ frequencyHertz: null, mode: null, transmitting: null, meterWatts: null });
    expect(rig.reading().ageSeconds).toBeCloseTo(5.1);
    expect(rig.word).toBeNull();
  });
});

it("a station that is not linked has no age", () => {
  expect(fixedRig(3.6e6, "SSB")()).toMatchObject({ frequencyHertz: 3.6e6, mode: "SSB", ageSeconds: null });
});
