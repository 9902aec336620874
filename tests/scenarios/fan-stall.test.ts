// The fan stalls at night, under drive and without: reduced at once, named, recorded, and undone without anybody's hand.

import { describe, expect, it } from "vitest";
import { DEFAULT_PROTECTION } from "../../daemon/core/protect/settings.ts";
import { Story } from "./story.ts";

describe("the fan stalls at night", () => {
  const story = new Story();
  story.driveWatts = 400;
  story.run(1200);

  it("begins at full power with nothing to say", () => {
    expect(story.stage).toBe("full");
    expect(story.effects.permits).toEqual({ reduce: true, inhibit: true });
    expect(story.effects.outlook.alarms).toEqual([]);
  });

  it("reduces in the very cycle that the tachometer woke", () => {
    story.rpm = 0;
    story.cycle(story.program.fan?.stallSeconds ?? 0);
    expect(story.effects.outlook.fan).toBe("stalled");
    expect(story.effects.permits).toEqual({ reduce: false, inhibit: true });
    expect(story.effects.outlook.reasons).toEqual(["the fan has stalled"]);
    expect(story.alarm("fan_stall")).toBe("unacknowledged");
    expect(story.effects.buzzer).toBe("high");
  });

  it("measures how long detection and relay took", () => {
    story.run(2);
    expect(story.effects.outlook.reactionSeconds).toBeCloseTo(0.3 + 1, 6);
    expect(story.effects.outlook.processSafetySeconds).toBeGreaterThan(3 * 1.3);
  });

  it("takes the power off when the operator goes on all the same and the bound says so", () => {
    expect(story.ask({ kind: "acknowledge", tag: "fan_stall", comment: "heard it" }).accepted).toBe(true);
    expect(story.effects.buzzer).toBeNull();
    story.run(900);
    expect(story.stage).toBe("inhibited");
    expect(story.upper).toBeGreaterThanOrEqual(story.coreCelsius);
    expect(story.effects.permits).toEqual({ reduce: false, inhibit: false });
    expect(story.coreCelsius).toBeLessThan(story.program.limits.curieCelsius);
  });

  it("comes back only by fan, cooling and reset, in this order", () => {
    story.driveWatts = 0;
    expect(story.ask({ kind: "reset" }).accepted).toBe(false);
    story.rpm = 11_000;
    story.run(1800);
    expect(story.stage).toBe("inhibited");
    expect(story.effects.outlook.reasons.at(-1)).toBe("waiting for the operator's reset");
    expect(story.ask({ kind: "reset" })).toMatchObject({ accepted: true });
    story.run(150);
    expect(story.stage).toBe("full");
  });

  it("has told the whole story in the record", () => {
    const stages = story.told("stage");
    expect(stages.map((text) => text.split(":")[0])).toEqual([
      "inhibited → full",
      "full → reduced",
      "reduced → inhibited",
      "inhibited → full",
    ]);
    expect(stages[1]).toContain("the fan has stalled");
    expect(story.record.find(({ kind, tag }) => kind === "stage" && tag === "inhibited")?.by).toBeNull();
    expect(story.record.filter(({ kind, by }) => kind === "stage" && by === "op")).toHaveLength(1);
    expect(story.told("alarm", "fan_stall")[0]).toContain("normal → unacknowledged, high priority: no pulse for 0.3 s");
    expect(story.told("command").filter((text) => text.startsWith("refused"))).toHaveLength(1);
  });
});

describe("a stall that passes", () => {
  it("reduces for the minimum time and then returns by itself", () => {
    const story = new Story();
    story.run(60);
    story.rpm = 0;
    story.run(5);
    story.rpm = 11_000;
    story.run(story.program.limits.minimumReducedSeconds - 10);
    expect(story.stage).toBe("reduced");
    story.run(20);
    expect(story.stage).toBe("full");
    expect(story.alarm("fan_stall")).toBe("returned to normal unacknowledged");
  });
});

describe("a fan with a switch line", () => {
  it("is given its bounded number of tries", () => {
    const fan = { nominalRpm: 11_000, nominalVolts: 12, pulsesPerRevolution: 2, startSeconds: 5, stallSeconds: 0.3 };
    const more = {
      slowRatio: 0.85,
      surgeRatio: 0.06,
      noiseRegularity: 0.5,
      learnSeconds: 21_600,
      longestOffSeconds: 3600,
    };
    const story = new Story({ fan: { ...fan, ...more, powerCycle: { attempts: 2, offSeconds: 4, waitSeconds: 20 } } });
    story.run(60);
    story.rpm = 0;
    let cuts = 0;
    story.run(300, ({ effects }) => {
      if (!effects.fanPower) cuts += 1;
    });
    expect(cuts).toBe(8);
    expect(story.told("event", "fan_power_cycle")).toHaveLength(2);
  });
});

describe("a fan off on purpose", () => {
  it("is no alarm, but no full power either, and ends by itself", () => {
    const story = new Story();
    story.run(60);
    expect(story.ask({ kind: "fan off on purpose", seconds: 600 }).accepted).toBe(true);
    story.rpm = 0;
    story.run(300);
    expect(story.effects.outlook.fan).toBe("off on purpose");
    expect(story.stage).toBe("reduced");
    expect(story.alarm("fan_stall")).toBe("suppressed by design");
    expect(story.effects.buzzer).toBeNull();
    story.run(310);
    expect(story.alarm("fan_stall")).toBe("unacknowledged");
    expect(story.told("event", "fan_off_ended")).toHaveLength(1);
  });

  const switchedOff = (): Story => {
    const powerCycle = { attempts: 2, offSeconds: 4, waitSeconds: 20 };
    const story = new Story({ fan: { ...DEFAULT_PROTECTION.fan, powerCycle } });
    story.run(60);
    story.ask({ kind: "fan off on purpose", seconds: 600 });
    story.rpm = 0;
    story.run(300);
    return story;
  };

  it("and on again has the time to run up, at no more power and with its supply", () => {
    const story = switchedOff();
    expect(story.ask({ kind: "fan on again" }).accepted).toBe(true);
    expect([story.stage, story.effects.fanPower]).toEqual(["reduced", true]);
    for (const rpm of [0, 0, 3000, 8000, 11_000]) {
      story.rpm = rpm;
      story.run(1);
    }
    story.run(120);
    expect(story.told("alarm", "fan_stall").filter((text) => text.includes("→ unacknowledged"))).toEqual([]);
    expect(story.told("event", "fan_power_cycle")).toEqual([]);
    expect(story.stage).toBe("full");
  });

  it("and on again that does not come is a stall", () => {
    const story = switchedOff();
    story.ask({ kind: "fan on again" });
    story.run(DEFAULT_PROTECTION.fan.startSeconds);
    expect([story.alarm("fan_stall"), story.stage]).toEqual(["unacknowledged", "reduced"]);
    expect(story.told("event", "fan_power_cycle")).toHaveLength(1);
  });
});
