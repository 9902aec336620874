// An outlook as browsers see it: the vocabulary's names, rounded, and honest about what is bad or not fitted.

import { describe, expect, it } from "vitest";
import type { Headroom } from "../../daemon/core/estimate/estimate.ts";
import { frameOf } from "../../daemon/outputs/frame.ts";
import { plainBeat } from "../support/beat.ts";

const frame = (changes: (beat: ReturnType<typeof plainBeat>) => unknown = () => ({}), band: string | null = "40 m") => {
  const beat = plainBeat(1, 60.123_456);
  const outlook = { ...beat.outlook, ...(changes(beat) as object) };
  return frameOf({ ...beat, outlook, band });
};

describe("quantities", () => {
  it("carry measured values with their quality and estimated ones apart", () => {
    const { quantities } = frame();
    expect(quantities.inlet_celsius).toEqual({ value: 20, quality: "good", code: null });
    expect(quantities.core_celsius).toEqual({ value: 60.12, quality: "estimated", code: null });
    expect(quantities.airflow_cubic_meters_per_second?.value).toBe(0.0035);
  });

  it("show a bad reading without a number and with its code", () => {
    expect(frame().quantities.ambient_celsius).toEqual({ value: null, quality: "bad", code: "NACK" });
  });

  it("leave out what is not fitted", () => {
    expect(frame().quantities).not.toHaveProperty("humidity_ratio");
  });

  it("call the wall estimated where no sensor sits on it", () => {
    expect(frame().quantities.wall_celsius?.quality).toBe("estimated");
    const { quantities } = frame(({ outlook }) => ({
      readings: { ...outlook.readings, wall: { value: 28.004, quality: "suspect", code: "DISAGREE" } },
    }));
    expect(quantities.wall_celsius).toEqual({ value: 28, quality: "suspect", code: "DISAGREE" });
  });

  it("never carry a number that is none", () => {
    const { quantities } = frame(({ outlook }) => ({
      estimate: { ...outlook.estimate, sustainableWatts: Number.POSITIVE_INFINITY, lossWatts: Number.NaN },
    }));
    expect(quantities.sustainable_watts?.value).toBeNull();
    expect(quantities.loss_watts?.value).toBeNull();
  });
});

describe("headroom", () => {
  const cases: readonly [Headroom, object, number | null][] = [
    [{ kind: "levels off", levelCelsius: 71.26 }, { kind: "levels off", level_celsius: 71.3 }, null],
    [{ kind: "reaches limit", seconds: 340.4 }, { kind: "reaches limit", seconds: 340 }, 340],
    [{ kind: "at limit" }, { kind: "at limit" }, 0],
    [{ kind: "unknown" }, { kind: "unknown" }, null],
  ];
  it.each(cases)("%j", (headroom, wire, seconds) => {
    const made = frame(({ outlook }) => ({ estimate: { ...outlook.estimate, headroom } }));
    expect(made.headroom).toEqual(wire);
    expect(made.quantities.headroom_seconds?.value).toBe(seconds);
  });
});

describe("the shack's side", () => {
  it("comes with the drive, and is unknown without it", () => {
    expect(frame()).toMatchObject({ band: "40 m", mode: "CW", transmitting: true });
    const without = frame(({ outlook }) => ({ readings: { ...outlook.readings, drive: null } }), null);
    expect(without).toMatchObject({ band: null, mode: null, transmitting: null });
  });
});

describe("protection's own figures", () => {
  it("are the process safety time and, once it was measured, the reaction beside it", () => {
    expect(frame()).toMatchObject({ process_safety_seconds: 67, reaction_seconds: null });
    expect(frame(() => ({ processSafetySeconds: null, reactionSeconds: 1.304_99 }))).toMatchObject({
      process_safety_seconds: null,
      reaction_seconds: 1.3,
    });
  });

  it("are the proof test's step, what to do in it, and its dates", () => {
    const proofTest = {
      step: "released",
      instruction: "Key the transmitter.",
      lastWallSeconds: 1_780_000_000,
      dueWallSeconds: 1_790_000_000,
    };
    expect(frame(() => ({ proofTest })).proof_test).toEqual({
      step: "released",
      instruction: "Key the transmitter.",
      last_wall_seconds: 1_780_000_000,
      due_wall_seconds: 1_790_000_000,
    });
  });
});
