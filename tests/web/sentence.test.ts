// The sentence that stands first, in every state it can be in: worst news first, nothing unknown called safe.

import { describe, expect, it } from "vitest";
import type { Frame } from "../../daemon/wire/frame.ts";
import { figuresFor } from "../../web/figures.ts";
import { DEFAULT_PREFERENCES } from "../../web/preferences.ts";
import { caveats, sentence } from "../../web/sentence.ts";
import { ABOUT, estimated, frameWith } from "./frames.ts";

const celsius = figuresFor(DEFAULT_PREFERENCES, "en-GB");
const fahrenheit = figuresFor({ ...DEFAULT_PREFERENCES, temperature: "fahrenheit" }, "en-GB");

function say(
  frame: Frame | null,
  more: { age?: number | null; heaviest?: number | null; figures?: typeof celsius } = {},
) {
  const { age = 0, heaviest = 1200, figures = celsius } = more;
  const said = sentence({ frame, about: ABOUT, ageSeconds: age, heaviestDriveWatts: heaviest, figures });
  return { ...said, text: said.text.replaceAll("\u00a0", " ") };
}

describe("the sentence", () => {
  it("calls full power safe only when it would hold what this operator drives", () => {
    expect(say(frameWith())).toEqual({
      text: "Full power is safe: at this pace the core levels off at 71 °C.",
      tone: "calm",
    });
    expect(say(frameWith(), { heaviest: 1700 }).text).toBe(
      "This pace is safe: the core levels off at 71 °C. Without a break only 1,600 W would hold.",
    );
  });

  it("does not call full power safe on a degraded estimate or without the drive", () => {
    const plain = "At this pace the core levels off at 71 °C, below the limit.";
    expect(say(frameWith({ degraded: ["no inlet"] })).text).toBe(plain);
    expect(say(frameWith(), { heaviest: null }).text).toBe(plain);
    expect(say(frameWith({ quantities: { sustainable_watts: estimated(null) } })).text).toBe(plain);
  });

  it("says what would hold when nothing is being sent", () => {
    expect(say(frameWith({ headroom: { kind: "levels off", level_celsius: 21.4 } }), { heaviest: 0 }).text).toBe(
      "All quiet: the core settles at 21 °C. 1,600 W without a break would hold.",
    );
  });

  it("gives the time to the limit and the drive that would hold", () => {
    const six = frameWith({
      headroom: { kind: "reaches limit", seconds: 375 },
      quantities: { sustainable_watts: estimated(913) },
    });
    expect(say(six)).toEqual({ text: "About 6 min to the limit. 910 W would hold.", tone: "watch" });
  });

  it("shows no minutes where none can be trusted", () => {
    const soon = frameWith({
      headroom: { kind: "reaches limit", seconds: 59 },
      quantities: { sustainable_watts: estimated(913) },
    });
    expect(say(soon)).toEqual({ text: "Less than a minute to the limit. Stop, or go down to 910 W.", tone: "act" });
    expect(say(frameWith({ headroom: { kind: "at limit" } })).tone).toBe("act");
  });

  it("admits that headroom is unknown", () => {
    expect(say(frameWith({ headroom: { kind: "unknown" } }))).toEqual({
      text: "Headroom is not known: too few readings can be believed.",
      tone: "blind",
    });
  });

  it("says of a fresh start that the pace is not known yet, and what would hold", () => {
    const young = { headroom: { kind: "unknown" }, degraded: ["restarted"] } as const;
    expect(say(frameWith(young)).text).toBe(
      "Just started: the pace is not known yet. 1,600 W without a break would hold.",
    );
    const nothing = { ...frameWith(young), quantities: {} };
    expect(say(nothing)).toEqual({ text: "Just started: the pace is not known yet.", tone: "blind" });
  });

  it("puts the stage and its first reason before any headroom", () => {
    const reduced = frameWith({
      power_stage: "reduced",
      reasons: ["the fan has stalled"],
      relay_permit: { reduce: false, inhibit: true },
      relay_readback: { reduce: false, inhibit: true },
      quantities: { sustainable_watts: estimated(312) },
    });
    expect(say(reduced)).toEqual({ text: "Power is reduced: the fan has stalled. 310 W would hold.", tone: "act" });
    const hot = {
      ...reduced,
      fan: "stalled",
      reasons: ["the core's upper bound is high: 100 °C reduces", ...reduced.reasons],
    };
    expect(say(hot).text).toContain("Power is reduced: the fan has stalled.");
    expect(say({ ...hot, fan: "turning" }).text).toContain("Power is reduced: the core's upper bound is high.");
    expect(say({ ...reduced, reasons: ["stays reduced for at least 120 s"] }).text).toBe(
      "Power stays reduced for at least 120 s. 310 W would hold.",
    );
    const inhibited = frameWith({
      power_stage: "inhibited",
      reasons: ["the core's upper bound is at the limit of 110 °C", "waiting for the operator's reset"],
      relay_permit: { reduce: false, inhibit: false },
      relay_readback: { reduce: false, inhibit: false },
    });
    expect(say(inhibited).text).toBe("Do not transmit: the core's upper bound is at the limit of 110 °C.");
    expect(say(inhibited, { figures: fahrenheit }).text).toBe(
      "Do not transmit: the core's upper bound is at the limit of 230 °F.",
    );
  });

  it("says first of all that a line did not let go", () => {
    const stuck = frameWith({
      power_stage: "inhibited",
      reasons: ["the fan has stalled"],
      relay_permit: { reduce: false, inhibit: false },
      relay_readback: { reduce: false, inhibit: true },
    });
    expect(say(stuck).text).toContain("inhibit line still reads permitted");
    expect(say(stuck).tone).toBe("act");
  });

  it("says how long protection stays bypassed", () => {
    expect(say(frameWith({ bypassed_until_seconds: 5000 + 750 })).text).toBe(
      "Protection is bypassed for another 12 min: only the core at its limit, or not known, takes the power off.",
    );
  });

  it("names a stalled fan even while the stage is still full", () => {
    const stalled = frameWith({ fan: "stalled", quantities: { sustainable_watts: estimated(312) } });
    expect(say(stalled)).toEqual({ text: "The fan has stalled. Without it 310 W would hold.", tone: "act" });
  });

  it("speaks of the missing data past 10 s, and of nothing else", () => {
    expect(say(frameWith({ power_stage: "inhibited" }), { age: 14.6 })).toEqual({
      text: "No data from the feedpoint for 14 s.",
      tone: "blind",
    });
    expect(say(frameWith(), { age: 10.2 }).text).toBe("No data from the feedpoint for 10 s.");
    expect(say(frameWith(), { age: 10 }).text).toContain("Full power is safe");
    expect(say(null, { age: null }).text).toBe("Calling the feedpoint.");
  });

  it("speaks the reader's degrees", () => {
    expect(say(frameWith(), { figures: fahrenheit }).text).toBe(
      "Full power is safe: at this pace the core levels off at 160 °F.",
    );
  });
});

describe("the caveats", () => {
  it("are silent when all is well", () => {
    expect(caveats(frameWith())).toEqual([]);
  });

  it("say each thing that weakens the sentence", () => {
    const notes = caveats(
      frameWith({
        fan: "doubtful",
        degraded: ["no tach", "drive unknown"],
        calibration: "not calibrated",
        relay_readback: { reduce: true, inhibit: null },
        wall_trusted: false,
      }),
    );
    expect(notes).toEqual([
      "Relay disagrees: inhibit line wanted permitted, reads cannot be read.",
      "Tachometer doubtful: its speed is not believed.",
      "Estimate degraded (no tachometer, drive not known): the bound is wider.",
      "Not calibrated: without a heat run with a core reading the bound is wide.",
      "The feedpoint's clock is not set; times of day may be wrong.",
    ]);
  });
});
