// Too much drive: warned, reduced, tripped; the operator bypasses, resets, and enters a core reading.

import { describe, expect, it } from "vitest";
import { bad, good } from "../../daemon/core/readings.ts";
import { Story } from "./story.ts";

describe("too much drive on 80 m", () => {
  const story = new Story();
  const reached: string[] = [];
  story.driveWatts = 1500;
  story.run(3600, (told) => {
    if (told.effects === undefined) return;
    if (told.stage !== reached.at(-1)) reached.push(told.stage);
    if (told.stage === "inhibited" && told.now > 10) told.driveWatts = 0;
  });

  it("goes through every stage in order", () => {
    expect(reached.filter((stage, index) => index > 0 || stage !== "inhibited")).toEqual([
      "full",
      "reduced",
      "inhibited",
    ]);
  });

  it("warns the operator before the power is reduced, and trips before the limit is really reached", () => {
    const at = (kind: string, tag: string): number =>
      story.record.find((one) => one.kind === kind && one.tag === tag)!.atSeconds;
    expect(at("alarm", "core_upper_high")).toBeLessThan(at("stage", "reduced"));
    expect(at("stage", "reduced")).toBeLessThan(at("alarm", "core_upper_trip"));
    expect(story.told("alarm", "core_upper_trip")[0]).toContain("comes at 110 °C");
  });

  it("keeps the trip on the list after the core has cooled", () => {
    expect(story.alarm("core_upper_trip")).toBe("latched unacknowledged");
    expect(story.stage).toBe("inhibited");
    expect(story.ask({ kind: "acknowledge", tag: "core_upper_trip" }).accepted).toBe(true);
    expect(story.alarm("core_upper_trip")).toBe("latched acknowledged");
    expect(story.ask({ kind: "reset" })).toMatchObject({ accepted: true, text: "the trip is reset" });
    expect(story.alarm("core_upper_trip")).toBe("normal");
    expect(story.stage).toBe("full");
  });
});

describe("a core reading by the operator", () => {
  it("goes into the estimate, carried forward", () => {
    const story = new Story();
    story.driveWatts = 700;
    story.run(1200);
    story.driveWatts = 0;
    story.run(20);
    const before = story.effects.outlook.estimate.coreCelsius;
    const answer = story.ask({ kind: "spot reading", celsius: story.coreCelsius + 6, secondsAgo: 2 });
    expect(answer.accepted).toBe(true);
    expect(story.effects.outlook.readings.core?.value).toBeCloseTo(story.coreCelsius + 6, 0);
    story.run(2);
    expect(story.effects.outlook.estimate.coreCelsius).toBeGreaterThan(before);
    expect(story.ask({ kind: "spot reading", celsius: 60, secondsAgo: 500 }).accepted).toBe(false);
    expect(story.ask({ kind: "spot reading", celsius: 6000, secondsAgo: 1 }).accepted).toBe(false);
    const colder = story.ask({ kind: "spot reading", celsius: story.inletCelsius - 15, secondsAgo: 0 });
    expect(colder).toMatchObject({ accepted: false });
    expect(colder.text).toContain("emissivity");
  });

  it("moves the estimate, not the core: a second reading is not carried along that move", () => {
    const story = new Story();
    story.driveWatts = 700;
    story.run(1200);
    story.driveWatts = 0;
    story.run(60);
    const earlier = { celsius: story.coreCelsius, at: story.now };
    story.run(8);
    const before = story.effects.outlook.estimate.coreCelsius;
    story.ask({ kind: "spot reading", celsius: story.coreCelsius + 20, secondsAgo: 0 });
    const moved = story.effects.outlook.estimate.coreCelsius - before;
    expect(moved).toBeGreaterThan(0.5);
    story.ask({ kind: "spot reading", celsius: earlier.celsius, secondsAgo: story.now + 1 - earlier.at });
    const carried = story.effects.outlook.readings.core?.value ?? Number.NaN;
    expect(Math.abs(carried - story.coreCelsius)).toBeLessThan(moved / 2);
  });

  it("at the limit trips whatever the filters say", () => {
    const story = new Story();
    story.run(300);
    expect(story.ask({ kind: "spot reading", celsius: 112, secondsAgo: 1 }).accepted).toBe(true);
    expect(story.stage).toBe("inhibited");
    expect(story.effects.outlook.reasons.join()).toContain("what is measured puts the core at the limit");
    expect(story.told("alarm", "core_measured_trip")[0]).toContain("probe 11");
    story.run(60);
    expect(story.alarm("core_measured_trip")).toBe("latched unacknowledged");
    expect(story.alarm("core_upper_trip")).toBe("normal");
  });
});

describe("air from the outlet that no core explains", () => {
  it("takes the power off", () => {
    const story = new Story();
    story.run(300);
    story.override = { outlet: good(70) };
    story.run(10);
    expect(story.stage).not.toBe("full");
    story.override = { outlet: good(85) };
    story.run(10);
    expect(story.stage).toBe("inhibited");
    expect(story.alarm("outlet_high")).toBe("unacknowledged");
  });
});

describe("a bypass", () => {
  it("holds full power through a lost tach, for its time, with a reason", () => {
    const story = new Story();
    story.run(120);
    story.override = { fan: { rpm: good(0), regularity: null, rejectedEdges: 0, lostEdges: 0, secondsSinceEdge: 50 } };
    story.run(5);
    expect(story.stage).toBe("reduced");
    expect(story.ask({ kind: "bypass", seconds: 60, comment: " " })).toMatchObject({ accepted: false });
    expect(story.ask({ kind: "bypass", seconds: Number.POSITIVE_INFINITY, comment: "x" }).accepted).toBe(false);
    expect(story.ask({ kind: "bypass", seconds: 60, comment: "the fan runs, I hear it" }).accepted).toBe(true);
    expect(story.stage).toBe("full");
    story.run(58);
    expect(story.stage).toBe("full");
    story.run(3);
    expect(story.stage).toBe("reduced");
    expect(story.effects.outlook.bypassedUntilSeconds).toBeNull();
    expect(story.told("event", "bypass_ended")).toHaveLength(1);
    expect(story.told("command", "bypass").at(-1)).toContain("the fan runs, I hear it");
  });

  it("is never longer than the longest", () => {
    const story = new Story();
    story.run(10);
    story.ask({ kind: "bypass", seconds: 1e9, comment: "all night" });
    const until = story.effects.outlook.bypassedUntilSeconds ?? Number.NaN;
    expect(until - story.now).toBe(story.program.limits.longestBypassSeconds);
    expect(story.ask({ kind: "end bypass" }).accepted).toBe(true);
    expect(story.ask({ kind: "end bypass" }).accepted).toBe(false);
  });
});

describe("a core reading of something else", () => {
  it("is refused in words, and one of the core is taken", () => {
    const story = new Story();
    story.run(600);
    story.driveWatts = 900;
    story.run(1800);
    const upper = story.upper;
    const elsewhere = story.ask({ kind: "spot reading", celsius: story.inletCelsius + 5, secondsAgo: 0 });
    expect(elsewhere).toMatchObject({ accepted: false });
    expect(elsewhere.text).toMatch(/by drive, fan and air the core is at \d+ °C at least: check the thermometer's aim/);
    expect(story.upper).toBeGreaterThan(upper - 1);
    expect(story.ask({ kind: "spot reading", celsius: story.coreCelsius, secondsAgo: 0 }).accepted).toBe(true);
  });
});

describe("a core probe that has fallen off", () => {
  it.each([
    ["with the drive known", {}],
    ["with the drive not known", { drive: null }],
  ])("draws no bound below the core, %s, and is an alarm", (_, known) => {
    const story = new Story();
    const fallen = (): void => {
      story.override = { ...known, core: good(story.inletCelsius + 4) };
    };
    story.override = known;
    story.run(600);
    story.driveWatts = 1500;
    let permitted = 0;
    story.run(2400, () => {
      if (story.coreCelsius > 60) fallen();
      // A transmitter that does as it is told: the test ends where the power is taken off.
      if (story.effects.permits.inhibit) permitted = story.coreCelsius;
      else story.driveWatts = 0;
    });
    expect(permitted).toBeLessThan(story.program.limits.limitCelsius);
    expect(story.told("alarm", "core_bad")[0]).toContain("is not used: by drive, fan and air");
  });

  it("that is on the core and reads right is heard at any heat, also while others are silent", () => {
    const story = new Story();
    story.run(600);
    story.driveWatts = 900;
    story.run(3600, () => {
      story.override = { core: good(story.coreCelsius) };
    });
    expect(story.alarm("core_bad")).toBe("normal");
    story.run(30, () => {
      story.override = { core: good(story.coreCelsius), outlet: bad("NACK") };
    });
    expect(story.alarm("core_bad")).toBe("normal");
  });
});
