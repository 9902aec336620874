// The facts of Check and the text for a friend: every part with its rates, what is not known said as such, and nothing in it that
// tells whose feedpoint it is or where.

import { describe, expect, it } from "vitest";
import type { Check } from "../../daemon/wire/check.ts";
import { daemonFacts, driveFacts, factsText, rateText, tachFacts } from "../../web/check/facts.ts";
import { figuresFor } from "../../web/figures.ts";
import { loadPreferences } from "../../web/preferences.ts";
import { ABOUT, frameWith } from "./frames.ts";

const figures = figuresFor(loadPreferences({ getItem: () => null, setItem: () => {} }), "en-GB");

const CHECK: Check = {
  version: "0.1.0",
  node: "v20.19.0",
  hardware: {
    parts: [
      {
        name: "inlet",
        part: "TMP117",
        place: "i2c-1 0x48",
        role: "inlet",
        errors: [
          { code: "NACK", receiving: 2, transmitting: 6 },
          { code: "TIMEOUT", receiving: 0, transmitting: 2 },
        ],
      },
      { name: "relay", part: "permit lines", place: "gpio 23, gpio 24", role: "relay", errors: [] },
    ],
    buses: [{ bus: "i2c-1", transfers: 5000, retries: 12, reopens: 1, errors: 3, stuck: true }],
    sweeps: { receiving: 1000, transmitting: 2000 },
    relay_place: "gpio 23, gpio 24",
    uptime_seconds: 7200,
    resident_bytes: 81_400_000,
    service_restarts: 1,
  },
  tach: { rpm: null, regularity: null, rejected_edges: 7, lost_edges: null },
  cycle_seconds: 0.0214,
  cycle_late_seconds: null,
  wall_trusted: false,
  rig_link_age_seconds: null,
  rig: null,
  drive_sources: [],
  drive_power_ratio: null,
  swr: null,
  mqtt: null,
  notices: [{ name: "shack mail", waiting: 2, failures: 3, delivered_seconds_ago: null }],
  log: { writable: false, trouble: "no space left", disk_free_ratio: 0.04 },
};

describe("a rate", () => {
  it("counts failures per thousand cycles, and is a dash where nothing was counted", () => {
    expect(rateText(8, 2000)).toBe("4.0");
    expect(rateText(0, 10)).toBe("0.0");
    expect(rateText(0, 0)).not.toMatch(/\d/);
  });
});

describe("the facts", () => {
  it("say what is not known instead of a zero", () => {
    const tach = new Map(
      tachFacts(
        { rpm: null, regularity: null, rejected_edges: 7, lost_edges: null } as NonNullable<Check["tach"]>,
        figures,
      ),
    );
    expect([...tach.values()].filter((value) => /\d/.test(value))).toEqual(["7"]);
    const facts = new Map(daemonFacts(CHECK, figures));
    expect([...facts.values()]).toContain("21\u00a0ms");
    expect([...facts.values()].filter((value) => value === "0\u00a0ms")).toEqual([]);
    expect([...facts.keys()].length).toBe(daemonFacts(CHECK, figures).length);
  });

  it("say whose drive is used, and in words why one says nothing", () => {
    const sources = [
      { name: "detector", watts: null, code: "NACK", transmitting: null, used: false },
      { name: "rig meter", watts: 816, code: "INDIRECT", transmitting: null, used: true },
    ];
    expect(driveFacts({ ...CHECK, drive_sources: sources }, figures)).toEqual([
      ["detector at the coax", "does not answer"],
      ["rig's meter × factor", "816 W, used"],
    ]);
  });

  it("leave out what the heartbeat has not told yet", () => {
    const before = daemonFacts({ ...CHECK, hardware: null }, figures);
    expect(before.length).toBe(daemonFacts(CHECK, figures).length - 3);
  });
});

describe("the text for a friend", () => {
  const stalled = {
    tag: "fan_stall",
    state: "unacknowledged",
    priority: "high",
    text: "no pulse for 3.0 s",
    since_seconds: 10,
    until_seconds: null,
  } as const;
  const text = factsText(CHECK, frameWith({ power_stage: "reduced", alarms: [stalled] }), figures, ABOUT);

  it("has every part with its rates receiving and transmitting, and every bus", () => {
    expect(text).toContain("inlet (TMP117, i2c-1 0x48): 2.0 / 4.0 does not answer; no answer in time");
    expect(text).toContain("relay (permit lines, gpio 23, gpio 24): 0.0 / 0.0\n");
    expect(text).toMatch(/i2c-1: 5000 transfers, 12 retries, 1 reopened, 3 errors, \S/);
    expect(text).toMatch(/Power stage: Reduced, Fan stalled$/m);
  });

  it("says that it is simulated, and nothing of whose it is", () => {
    expect(text).toContain("Simulated");
    expect(text).not.toContain(ABOUT.name);
    expect(text).not.toContain("\u00a0");
    expect(text).not.toMatch(/\/(home|var|etc)\/|\b\d{1,3}(\.\d{1,3}){3}\b|@/);
    expect(factsText(CHECK, frameWith(), figures, { ...ABOUT, simulated: false })).not.toContain("Simulated");
  });
});
