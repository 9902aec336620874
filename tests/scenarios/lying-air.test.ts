// Thermometers of the air that lie where nothing contradicts them at once: at the start, after a stall, without tach or drive.
// Whatever they say, the power is off before the core is at its limit.

import { describe, expect, it } from "vitest";
import { isPossible } from "../../daemon/core/estimate/possible.ts";
import { good, type Readings } from "../../daemon/core/readings.ts";
import { Story } from "./story.ts";

/** Sends until the power is taken off; returns the hottest that the core was while power was permitted. */
function sendUntilOff(story: Story, seconds: number, lie: (told: Story) => void = () => {}): number {
  let hottest = 0;
  story.run(seconds, (told) => {
    lie(told);
    if (told.effects.permits.inhibit) hottest = Math.max(hottest, told.coreCelsius);
    else told.driveWatts = 0;
  });
  return hottest;
}

describe("an outlet that stands still from the very start", () => {
  it("is found out by the drive, though the run by drive has only begun", () => {
    const story = new Story();
    story.override = { outlet: good(20) };
    story.run(10);
    story.driveWatts = 1500;
    expect(sendUntilOff(story, 1500)).toBeLessThan(story.program.limits.limitCelsius);
    expect(story.told("alarm", "outlet_stuck")[0]).toContain("the same for 120 s");
  });
});

describe("an outlet that lies for a while after the fan stood", () => {
  it.each([
    [60, 400, 30],
    [100, 400, 110],
    [100, 0, 60],
    [300, 0, 110],
  ])("for %d s at %d W, and lies for %d s: the filters do not go on with what it taught them", (stall, watts, lie) => {
    const story = new Story();
    story.run(300);
    story.driveWatts = watts;
    story.rpm = 0;
    story.run(stall);
    story.rpm = 11_000;
    story.driveWatts = 0;
    story.run(lie, () => {
      story.override = { outlet: good(70 + (story.now % 2) / 64) };
    });
    story.override = {};
    story.run(300);
    story.ask({ kind: "reset" });
    story.driveWatts = 1500;
    expect(sendUntilOff(story, 900)).toBeLessThan(story.program.limits.limitCelsius);
    expect(story.told("event", "estimate_lost")).not.toEqual([]);
    expect(isPossible(story.state.estimator!)).toBe(true);
  });
});

describe("inlet and outlet exchanged, the drive not known", () => {
  it.each([
    ["with a tach", {}],
    ["without one", { fan: null }],
  ])("%s, put the core below all of its air: nothing rests on that", (_, settings) => {
    const story = new Story(settings);
    const unknown: Partial<Readings> = { drive: null, ...settings };
    story.override = unknown;
    story.run(20);
    story.driveWatts = 1500;
    const hottest = sendUntilOff(story, 1500, ({ inletCelsius, outletCelsius, now }) => {
      story.override = {
        ...unknown,
        inlet: good(outletCelsius + (now % 2) / 128),
        outlet: good(inletCelsius + (now % 3) / 128),
      };
    });
    expect(hottest).toBeLessThan(70);
    expect(story.told("alarm", "estimate_unusable")[0]).toContain("colder than its air");
    expect(story.told("alarm", "inlet_outlet_swapped")).toHaveLength(1);
  });
});
