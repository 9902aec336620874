// What Check names as needing a look: not a chip that was slow to start, always a fan that stands still, and a channel of
// notices that does not deliver.

import { describe, expect, it } from "vitest";
import type { Check, HardwareHealth } from "../../daemon/wire/check.ts";
import { troubles } from "../../web/check/troubles.ts";
import { frameWith } from "./frames.ts";

type Failures = { readonly inlet?: number; readonly fan?: number };

function hardware(sweeps: number, failures: Failures = {}): HardwareHealth {
  const part = (name: string, role: string, code: string, count: number) => ({
    name,
    part: "chip",
    place: "here",
    role,
    errors: count === 0 ? [] : [{ code, receiving: count, transmitting: 0 }],
  });
  return {
    parts: [
      part("inlet", "inlet", "NOT_READY", failures.inlet ?? 0),
      part("tach", "fan", "NO_EDGES", failures.fan ?? 0),
    ],
    buses: [],
    sweeps: { receiving: sweeps, transmitting: 0 },
    relay_place: null,
    uptime_seconds: sweeps,
    resident_bytes: 80e6,
    service_restarts: 0,
  };
}

function checkWith(changes: Partial<Check>): Check {
  return {
    version: "0.0.0",
    node: "20.19.0",
    hardware: hardware(1000),
    tach: null,
    cycle_seconds: 0.02,
    cycle_late_seconds: 0,
    wall_trusted: true,
    rig_link_age_seconds: null,
    rig: null,
    drive_sources: [],
    drive_power_ratio: null,
    swr: null,
    notices: [],
    mqtt: null,
    log: { writable: true, trouble: null, disk_free_ratio: 0.5 },
    ...changes,
  };
}

describe("what needs a look", () => {
  it("is a broker that is configured and out of reach", () => {
    const line = { connected: true, trouble: null, record_waiting: 0, delivered_seconds_ago: 1 };
    expect(troubles(checkWith({ mqtt: line }), frameWith())).toEqual([]);
    expect(troubles(checkWith({ mqtt: { ...line, connected: false } }), frameWith())).toEqual(["MQTT broker"]);
  });

  it("is nothing on a healthy feedpoint", () => {
    expect(troubles(checkWith({}), frameWith())).toEqual([]);
  });

  it.each([1, 4, 20, 99, 200])("is not a single failure among the first %d cycles", (sweeps) => {
    expect(troubles(checkWith({ hardware: hardware(sweeps, { inlet: 1 }) }), frameWith())).toEqual([]);
  });

  it("is the rig's link while it hears nothing, and no link that is not there", () => {
    const rig = { trouble: "nothing listens there", power_ratio: null, found_ratio: null };
    expect(troubles(checkWith({ rig }), frameWith())).toEqual(["the rig's link"]);
    expect(troubles(checkWith({ rig: { ...rig, trouble: null } }), frameWith())).toEqual([]);
  });

  it("is a part that fails in most of the first cycles, and one that fails now and then for long", () => {
    expect(troubles(checkWith({ hardware: hardware(6, { inlet: 6 }) }), frameWith())).toEqual(["inlet"]);
    expect(troubles(checkWith({ hardware: hardware(1000, { inlet: 11 }) }), frameWith())).toEqual(["inlet"]);
    expect(troubles(checkWith({ hardware: hardware(1000, { inlet: 9 }) }), frameWith())).toEqual([]);
  });

  it("is a stalled fan from its first moment, and its missing pulses are not named again", () => {
    expect(troubles(checkWith({}), frameWith({ fan: "stalled" }))).toEqual(["fan (stalled)"]);
    const long = checkWith({ hardware: hardware(1000, { fan: 400 }) });
    expect(troubles(long, frameWith({ fan: "stalled" }))).toEqual(["fan (stalled)"]);
    expect(troubles(long, frameWith())).toEqual(["tach"]);
  });

  it("is a fan that cannot be trusted, and not one that starts, is off on purpose or was never fitted", () => {
    for (const fan of ["slow", "surging"])
      expect(troubles(checkWith({}), frameWith({ fan }))).toEqual([`fan (${fan})`]);
    for (const fan of ["starting", "off on purpose", "unknown"]) {
      expect(troubles(checkWith({}), frameWith({ fan }))).toEqual([]);
    }
  });

  it("is a way of telling people that failed since it last worked", () => {
    const notices = (failures: number) => [{ name: "email", waiting: 1, failures, delivered_seconds_ago: null }];
    expect(troubles(checkWith({ notices: notices(0) }), frameWith())).toEqual([]);
    expect(troubles(checkWith({ notices: notices(2) }), frameWith())).toEqual(["notices by email"]);
  });
});
