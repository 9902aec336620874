// The lines themselves: the beginning, a line that disagrees, the proof test, a restart after a trip, events nobody must answer.

import { describe, expect, it } from "vitest";
import { bad } from "../../daemon/core/readings.ts";
import { checkpointState, parseCheckpoint } from "../../daemon/core/step.ts";
import { Story } from "./story.ts";

describe("the beginning", () => {
  it("holds both lines released until the first usable estimate", () => {
    const story = new Story();
    story.override = { inlet: bad("NOT_READY"), outlet: bad("NOT_READY"), drive: null };
    story.run(20, ({ effects }) => {
      if (effects !== undefined) expect(effects.permits).toEqual({ reduce: false, inhibit: false });
    });
    expect(story.effects.outlook.reasons).toEqual(["waiting for the first usable estimate"]);
    story.override = {};
    story.run(5);
    expect(story.stage).toBe("full");
    expect(story.told("event", "begin")).toHaveLength(1);
  });
});

describe("a line that does not obey", () => {
  it("is a latched alarm of high priority within two cycles", () => {
    const story = new Story();
    story.run(60);
    story.relay = { reduce: true, inhibit: true };
    story.rpm = 0;
    story.run(4);
    expect(story.stage).toBe("reduced");
    expect(story.alarm("relay_disagrees")).toBe("unacknowledged");
    expect(story.told("alarm", "relay_disagrees")[0]).toContain("wanted: reduce released, inhibit energised");
    story.relay = null;
    story.run(5);
    expect(story.alarm("relay_disagrees")).toBe("latched unacknowledged");
  });
});

describe("a relay that answers late", () => {
  it("is held against the process safety time", () => {
    const story = new Story();
    story.run(60);
    story.rpm = 0;
    story.relay = { reduce: true, inhibit: true };
    story.run(25);
    story.relay = null;
    story.run(2);
    const { reactionSeconds, processSafetySeconds } = story.effects.outlook;
    expect(reactionSeconds).toBeGreaterThan((processSafetySeconds ?? Number.NaN) / 3);
    expect(story.told("event", "safety_margin")).toHaveLength(1);
  });
});

describe("the proof test", () => {
  it("releases, asks, permits, asks, and keeps the date", () => {
    const story = new Story();
    story.run(30);
    const due = story.effects.outlook.proofTest.dueWallSeconds;
    expect(story.ask({ kind: "proof test", step: "begin" }).accepted).toBe(true);
    expect(story.effects.permits).toEqual({ reduce: false, inhibit: false });
    expect(story.effects.outlook.proofTest.instruction).toContain("must not make power");
    story.run(10);
    expect(story.ask({ kind: "proof test", step: "confirm released" }).accepted).toBe(true);
    expect(story.effects.permits).toEqual({ reduce: true, inhibit: true });
    story.run(10);
    expect(story.ask({ kind: "proof test", step: "confirm permitted" }).accepted).toBe(true);
    const { lastWallSeconds, dueWallSeconds } = story.effects.outlook.proofTest;
    expect(lastWallSeconds).toBe(1_780_000_000 + story.now);
    expect(dueWallSeconds).toBeGreaterThan(due ?? Number.NaN);
    expect(story.told("proof test").at(-1)).toContain("passed");
    expect(story.stage).toBe("full");
  });

  it("fails when the released line still reads energised", () => {
    const story = new Story();
    story.run(30);
    story.ask({ kind: "proof test", step: "begin" });
    story.relay = { reduce: false, inhibit: true };
    story.run(3);
    expect(story.ask({ kind: "proof test", step: "confirm released" }).accepted).toBe(false);
    expect(story.told("proof test").at(-1)).toContain("failed: read back reduce released, inhibit energised");
    expect(story.effects.outlook.proofTest.lastWallSeconds).toBeNull();
  });

  it("gives way to a real trip", () => {
    const story = new Story();
    story.run(30);
    story.ask({ kind: "proof test", step: "begin" });
    story.rpm = 0;
    story.run(2);
    expect(story.effects.outlook.proofTest.step).toBe("idle");
    expect(story.effects.permits).toEqual({ reduce: false, inhibit: true });
  });

  it("is asked for when it is overdue", () => {
    const story = new Story();
    story.run(30);
    story.upkeep = { wallSeconds: 1_780_000_000 + 400 * 86_400 };
    story.run(2);
    expect(story.alarm("proof_test_overdue")).toBe("unacknowledged");
    expect(story.effects.buzzer).toBeNull();
  });
});

describe("a restart", () => {
  it("forgets neither trip nor alarm nor shelving nor what was learned, but ends a bypass", () => {
    const before = new Story();
    before.run(1200);
    before.ask({ kind: "shelve", tag: "condensation", seconds: 3600 });
    before.ask({ kind: "bypass", seconds: 1000, comment: "test" });
    before.ask({ kind: "spot reading", celsius: 115, secondsAgo: 0 });
    before.override = { core: { value: 115, quality: "good", code: null } };
    before.ask({ kind: "end bypass" });
    before.run(3);
    expect(before.stage).toBe("inhibited");
    const text = JSON.stringify(checkpointState(before.program, before.state));

    const after = new Story({}, parseCheckpoint(JSON.parse(text)));
    after.run(300);
    expect(after.stage).toBe("inhibited");
    expect(after.effects.permits).toEqual({ reduce: false, inhibit: false });
    expect(after.effects.outlook.bypassedUntilSeconds).toBeNull();
    expect(after.told("event", "begin")[0]).toContain("the trip of the last run stands");
    expect(after.alarm("condensation")).toBe("shelved");
    expect(after.state.fan.learned.learnedSeconds).toBeGreaterThan(1000);
    expect(after.ask({ kind: "reset" }).accepted).toBe(true);
    expect(after.stage).toBe("full");
    after.run(3600);
    expect(after.alarm("condensation")).toBe("normal");
  });
});

describe("events", () => {
  it("are recorded, not alarmed", () => {
    const story = new Story();
    story.run(10);
    story.upkeep = { wallTrusted: false, rigLinkAgeSeconds: 31 };
    story.run(10);
    story.upkeep = { wallTrusted: false, rigLinkAgeSeconds: 31, cycleLateSeconds: 4 };
    story.run(2);
    story.upkeep = {};
    story.run(10);
    expect(story.record.filter(({ kind }) => kind === "event").map(({ tag }) => tag)).toEqual([
      "begin",
      "clock_untrusted",
      "rig_link_lost",
      "cycles_missed",
      "clock_trusted",
      "rig_link_back",
    ]);
    expect(story.effects.outlook.alarms).toEqual([]);
  });
});

describe("requests", () => {
  it("are each answered and recorded, also those that cannot be done", () => {
    const story = new Story();
    story.run(10);
    expect(story.ask({ kind: "acknowledge", tag: "no_such_alarm" }).accepted).toBe(false);
    expect(story.ask({ kind: "acknowledge", tag: "fan_stall" }).text).toBe("the alarm is normal");
    expect(story.ask({ kind: "shelve", tag: "fan_stall", seconds: -5 }).accepted).toBe(false);
    expect(story.ask({ kind: "out of service", tag: "wall_bad", comment: "" }).accepted).toBe(false);
    expect(story.ask({ kind: "out of service", tag: "wall_bad", comment: "not fitted yet" }).accepted).toBe(true);
    expect(story.alarm("wall_bad")).toBe("out of service");
    expect(story.ask({ kind: "return to service", tag: "wall_bad" }).accepted).toBe(true);
    expect(story.ask({ kind: "note", text: "  rain  " }).accepted).toBe(true);
    expect(story.ask({ kind: "note", text: " " }).accepted).toBe(false);
    expect(story.ask({ kind: "reset" }).text).toBe("nothing is latched");
    expect(story.ask({ kind: "fan replaced" }).accepted).toBe(true);
    expect(story.ask({ kind: "fan on again" }).accepted).toBe(false);
    expect(story.told("note")).toEqual(["rain"]);
    expect(story.told("command")).toHaveLength(11);
  });
});
