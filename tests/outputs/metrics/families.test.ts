// What the metrics are called and what they hold: the vocabulary's names and no others, nothing left standing that is not known.

import { describe, expect, it } from "vitest";
import { frameOf } from "../../../daemon/outputs/frame.ts";
import { familiesOf, type MetricsSource } from "../../../daemon/outputs/metrics/families.ts";
import { Tally } from "../../../daemon/outputs/metrics/tally.ts";
import type { HardwareHealth } from "../../../daemon/wire/check.ts";
import type { Frame } from "../../../daemon/wire/frame.ts";
import { plainBeat } from "../../support/beat.ts";
import { PLAIN_ABOUT } from "../../support/site.ts";

/** The vocabulary's list, without what OpenMetrics adds to samples (`_total`, `_info`), and `flow_factor` of the recordings. */
const VOCABULARY = `inlet_celsius outlet_celsius ambient_celsius wall_celsius core_celsius core_upper_celsius
core_uncertainty_kelvin limit_celsius fan_rpm fan_volts fan_amperes airflow_cubic_meters_per_second humidity_ratio dew_point_celsius
drive_watts loss_watts headroom_seconds sustainable_watts power_stage relay_permit relay_readback alarm_state sensor_errors
tach_rejected_edges cycle_duration_seconds build flow_factor`.split(/\s+/);

const HEALTH = {
  parts: [
    {
      name: "outlet",
      part: "TMP117",
      place: "",
      role: "outlet",
      errors: [{ code: "NACK", receiving: 2, transmitting: 5 }],
    },
  ],
} as unknown as HardwareHealth;

const FRAME: Frame = frameOf({ ...plainBeat(1), band: "40 m" });

function familyOf(name: string, changed: Partial<MetricsSource> = {}) {
  const source = {
    about: PLAIN_ABOUT,
    frame: FRAME,
    alarmTags: ["fan_stall", "core_upper_high"],
    health: HEALTH,
    tally: new Tally(),
    nodeVersion: "20.19.0",
    ...changed,
  };
  const families = familiesOf(source);
  expect(families.map((family) => family.name).toSorted()).toEqual(VOCABULARY.toSorted());
  return families.find((family) => family.name === name);
}

describe("metrics", () => {
  it("are called as in the vocabulary, and a unit is the end of the name", () => {
    expect(familyOf("core_upper_celsius")).toMatchObject({ unit: "celsius", points: [[{}, 69]] });
    expect(familyOf("airflow_cubic_meters_per_second")).toMatchObject({ unit: "cubic_meters_per_second" });
    expect(familyOf("flow_factor")).not.toHaveProperty("unit");
  });

  it("have no sample of what is not fitted, bad, or not known", () => {
    expect(familyOf("ambient_celsius")).toMatchObject({ points: [] });
    expect(familyOf("relay_readback", { frame: { ...FRAME, relay_readback: null } })).toMatchObject({ points: [] });
    const relay_readback = { reduce: true, inhibit: null };
    expect(familyOf("relay_readback", { frame: { ...FRAME, relay_readback } })).toMatchObject({
      points: [[{ line: "reduce" }, 1]],
    });
    expect(familyOf("sensor_errors", { health: null })).toMatchObject({ points: [] });
  });

  it("tell endless headroom from unknown headroom", () => {
    const headroomOf = (headroom: Frame["headroom"]) => {
      const quantities = {
        ...FRAME.quantities,
        headroom_seconds: { value: null, quality: "estimated", code: null },
      } as const;
      return familyOf("headroom_seconds", { frame: { ...FRAME, quantities, headroom } });
    };
    expect(headroomOf({ kind: "levels off", level_celsius: 80 })).toMatchObject({
      points: [[{}, Number.POSITIVE_INFINITY]],
    });
    expect(headroomOf({ kind: "unknown" })).toMatchObject({ points: [] });
    expect(familyOf("headroom_seconds")).toMatchObject({ points: [[{}, 340]] });
  });

  it("show every alarm of the list, normal where the frame names none", () => {
    const alarms = [
      { tag: "fan_stall", state: "shelved", priority: "high", text: "", since_seconds: 1, until_seconds: 2 },
    ] as const;
    expect(familyOf("alarm_state", { frame: { ...FRAME, alarms } })).toMatchObject({
      states: expect.arrayContaining(["normal", "shelved"]),
      points: [
        [{ tag: "fan_stall" }, "shelved"],
        [{ tag: "core_upper_high" }, "normal"],
      ],
    });
  });

  it("count errors by sensor, code and whether the station transmitted", () => {
    expect(familyOf("sensor_errors")).toMatchObject({
      points: [
        [{ sensor: "outlet", code: "NACK", transmitting: "false" }, 2],
        [{ sensor: "outlet", code: "NACK", transmitting: "true" }, 5],
      ],
    });
  });
});

describe("the tally", () => {
  it("counts each cycle once into every bucket that holds it", () => {
    const tally = new Tally();
    for (const beat of [
      plainBeat(1),
      { ...plainBeat(2), cycleSeconds: 0.3 },
      plainBeat(1),
      { ...plainBeat(3), cycleSeconds: 9 },
    ]) {
      tally.take(beat);
    }
    const { buckets, sum } = tally.cycleDuration;
    expect(sum).toBeCloseTo(9.302, 9);
    expect(buckets.find(([edge]) => edge === 0.005)?.[1]).toBe(1);
    expect(buckets.find(([edge]) => edge === 0.5)?.[1]).toBe(2);
    expect(buckets.at(-1)).toEqual([Number.POSITIVE_INFINITY, 3]);
  });

  it("keeps what the tach had rejected while the tach cannot be read", () => {
    const tally = new Tally();
    const rejecting = (number: number, rejectedEdges: number) => {
      const beat = plainBeat(number);
      const { fan } = beat.outlook.readings;
      return {
        ...beat,
        outlook: { ...beat.outlook, readings: { ...beat.outlook.readings, fan: fan && { ...fan, rejectedEdges } } },
      };
    };
    expect(tally.rejectedEdges).toBeNull();
    tally.take(rejecting(1, 0));
    expect(tally.rejectedEdges).toBe(0);
    tally.take(rejecting(2, 12));
    tally.take(rejecting(3, 0));
    expect(tally.rejectedEdges).toBe(12);
  });
});
