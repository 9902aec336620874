// The gate before the filters: nothing impossible passes, nothing possible is touched.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { NO_DRIVE_EVIDENCE } from "../../../daemon/core/drive-evidence.ts";
import { doubtDrive, type Objection, object, screenRange } from "../../../daemon/core/protect/screen.ts";
import { bad, good, type Reading, type Readings, suspect } from "../../../daemon/core/readings.ts";
import { FAN, READINGS } from "./fixtures.ts";

// The same histories every time: a failure is found once and then for everybody.
fc.configureGlobal({ seed: 8373 });

describe("the range", () => {
  it("hands back the same object when nothing is impossible", () => {
    expect(screenRange(READINGS)).toBe(READINGS);
  });

  it.each(["inlet", "outlet", "wall", "ambient", "core", "humidityRatio", "supplyVolts", "supplyAmperes"] as const)(
    "takes what is no number from %s",
    (name) => {
      for (const value of [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 1e9, -1e9]) {
        expect(screenRange({ ...READINGS, [name]: good(value) })[name]).toEqual(bad("OUT_OF_RANGE"));
      }
    },
  );

  it("takes it from drive and fan without losing what else they say", () => {
    const drive = { watts: good(Number.NaN), frequencyHertz: 7e6, mode: "CW", transmitting: true };
    const screened = screenRange({ ...READINGS, drive, fan: { ...FAN, rpm: good(Number.POSITIVE_INFINITY) } });
    expect(screened.drive).toEqual({ ...drive, watts: bad("OUT_OF_RANGE") });
    expect(screened.fan).toEqual({ ...FAN, rpm: bad("OUT_OF_RANGE") });
  });

  it("lets nothing through that is not finite", () => {
    const reading = fc.oneof(
      fc.double().map(good),
      fc.double().map((value): Reading => suspect(value, "JUMP")),
    );
    fc.assert(
      fc.property(reading, reading, reading, (inlet, outlet, core) => {
        const screened = screenRange({ ...READINGS, inlet, outlet, core });
        for (const one of [screened.inlet, screened.outlet, screened.core]) {
          expect(one?.value === null || Number.isFinite(one?.value)).toBe(true);
        }
      }),
    );
  });
});

describe("two drives that disagree", () => {
  const drive = { watts: good(400), frequencyHertz: 3.6e6, mode: "CW", transmitting: true };
  const apart = (powerRatio: number | null, meter: Reading): Readings => ({
    ...READINGS,
    drive,
    driveEvidence: {
      ...NO_DRIVE_EVIDENCE,
      powerRatio,
      sources: [
        { name: "detector", watts: good(400), transmitting: true },
        { name: "rig meter", watts: meter, transmitting: null },
        { name: "PTT line", watts: null, transmitting: true },
      ],
    },
  });

  it("count as the larger, in doubt, and keep what else is known", () => {
    const meter = suspect(816, "INDIRECT");
    expect(doubtDrive(apart(2.04, meter), 1.5).drive).toEqual({ ...drive, watts: suspect(816, "DISAGREE") });
    expect(doubtDrive(apart(2.04, suspect(200, "INDIRECT")), 1.5).drive?.watts).toEqual(suspect(400, "DISAGREE"));
  });

  it("are left alone while they agree, or one is silent, and nonsense is no witness", () => {
    for (const readings of [apart(1.49, suspect(590, "INDIRECT")), apart(null, bad("NACK")), READINGS]) {
      expect(doubtDrive(readings, 1.5)).toBe(readings);
    }
    expect(doubtDrive(apart(99, suspect(1e9, "INDIRECT")), 1.5).drive?.watts.value).toBe(400);
  });
});

describe("what is held against a thermometer", () => {
  const withdraw = (code: string): Objection => ({ code, doubted: false });
  const NOTHING: Objection = { code: null, doubted: false };
  const DOUBT: Objection = { code: null, doubted: true };

  it("is nothing while all are believed", () => {
    expect(object(READINGS, {})).toBe(READINGS);
    expect(object(READINGS, { inlet: NOTHING, outlet: NOTHING, wall: NOTHING, ambient: NOTHING })).toBe(READINGS);
  });

  it("takes its value and says why, each on its own", () => {
    expect(object(READINGS, { inlet: withdraw("STUCK"), outlet: withdraw("JUMP") })).toMatchObject({
      inlet: bad("STUCK"),
      outlet: bad("JUMP"),
    });
    expect(object(READINGS, { outlet: withdraw("JUMP") }).inlet).toBe(READINGS.inlet);
    const fitted = { ...READINGS, wall: good(20), ambient: good(15) };
    expect(object(fitted, { wall: withdraw("JUMP") })).toMatchObject({ wall: bad("JUMP"), ambient: good(15) });
    expect(object(fitted, { ambient: withdraw("JUMP") })).toMatchObject({ wall: good(20), ambient: bad("JUMP") });
  });

  it("keeps its own code when it was bad already, and stays unfitted when it was", () => {
    const lost = { ...READINGS, outlet: bad("NACK"), inlet: null };
    const both = { inlet: withdraw("STUCK"), outlet: withdraw("STUCK") };
    expect(object(lost, both)).toMatchObject({ inlet: null, outlet: bad("NACK") });
  });

  it("doubts a good number only, and leaves it its value", () => {
    const fitted = { ...READINGS, wall: good(20), ambient: suspect(15, "OTHER"), inlet: null, outlet: bad("NACK") };
    expect(object(fitted, { wall: DOUBT, ambient: DOUBT, inlet: DOUBT, outlet: DOUBT })).toMatchObject({
      wall: suspect(20, "JUMPED"),
      ambient: suspect(15, "OTHER"),
      inlet: null,
      outlet: bad("NACK"),
    });
  });
});
