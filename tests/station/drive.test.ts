// Who is believed about the drive, in which order, and when two of them are said to disagree.

import { describe, expect, it } from "vitest";
import { type DriveHeard, type DriveSettings, DriveWitnesses } from "../../daemon/station/drive.ts";
import { fixedRig, type RigReading } from "../../daemon/station/rig.ts";

/** A detector of 10 V at 1000 W. */
const POINTS = [
  { volts: 0, watts: 0 },
  { volts: 10, watts: 1000 },
];
const SETTINGS: DriveSettings = {
  scale: { law: "diode", forward: POINTS, reflected: POINTS },
  keyedWatts: 5,
  factorAt: (frequencyHertz) => (frequencyHertz === 3.65e6 ? 10 : null),
};
const RIG: RigReading = {
  ...fixedRig(3.65e6, "CW")(),
  transmitting: true,
  meterWatts: 40,
  swr: 1.4,
  ageSeconds: 0.2,
};
const UNLINKED = fixedRig(null, null)();
const detector = (watts: number, reflectedVolts: number | null = null): DriveHeard["detector"] => ({
  sample: { forwardVolts: Math.sqrt(watts / 10), reflectedVolts },
  code: null,
});
const line = (keyed: boolean): DriveHeard["pttLine"] => ({ sample: { keyed }, code: null });
const heardOnce = (heard: DriveHeard) => new DriveWitnesses(SETTINGS).hear(heard, 100);

describe("the drive", () => {
  it("is the detector's where there is one", () => {
    const { drive, evidence } = heardOnce({ detector: detector(500), pttLine: line(true), rig: RIG });
    expect(drive).toMatchObject({ frequencyHertz: 3.65e6, mode: "CW", transmitting: true, watts: { quality: "good" } });
    expect(drive?.watts.value).toBeCloseTo(500);
    expect(evidence.sources.map(({ name }) => name)).toEqual(["detector", "rig meter", "PTT line", "rig"]);
  });

  it("is the rig's meter times the band's factor, marked as indirect, where no detector is fitted or it fails", () => {
    const indirect = { value: 400, quality: "suspect", code: "INDIRECT" };
    expect(heardOnce({ detector: null, pttLine: null, rig: RIG }).drive?.watts).toEqual(indirect);
    const failed = heardOnce({ detector: { sample: null, code: "NACK" }, pttLine: null, rig: RIG });
    expect(failed.drive?.watts).toEqual(indirect);
    expect(failed.evidence.sources[0]).toMatchObject({ name: "detector", watts: { quality: "bad", code: "NACK" } });
  });

  it("is not guessed on a band without a factor", () => {
    const { drive, evidence } = heardOnce({ detector: null, pttLine: null, rig: { ...RIG, frequencyHertz: 7.03e6 } });
    expect(drive).toMatchObject({ watts: { value: null, code: "NOT_FITTED" }, transmitting: true });
    expect(evidence.sources.map(({ name }) => name)).toEqual(["rig"]);
  });

  it("keeps the reason of a detector that failed, and is nothing where nobody speaks", () => {
    const failed = heardOnce({ detector: { sample: null, code: "TIMEOUT" }, pttLine: line(true), rig: UNLINKED });
    expect(failed.drive).toMatchObject({ watts: { code: "TIMEOUT" }, transmitting: true });
    const silent = heardOnce({ detector: null, pttLine: { sample: null, code: "IO" }, rig: UNLINKED });
    expect(silent.drive).toBeNull();
    expect(heardOnce({ detector: null, pttLine: null, rig: UNLINKED }).evidence.sources).toEqual([]);
  });

  it("has its keying from the PTT line before the rig's word, and from power before both", () => {
    const { rig } = { rig: { ...RIG, transmitting: false } };
    expect(heardOnce({ detector: null, pttLine: line(true), rig }).drive?.transmitting).toBe(true);
    expect(heardOnce({ detector: detector(0), pttLine: line(true), rig }).drive?.transmitting).toBe(false);
  });

  it("has the detector's SWR before the rig's", () => {
    // A tenth of the voltage back: (1 + 0.1) / (1 - 0.1).
    expect(heardOnce({ detector: detector(1000, 1), pttLine: null, rig: RIG }).evidence.swr).toBeCloseTo(1.1 / 0.9);
    expect(heardOnce({ detector: detector(1000), pttLine: null, rig: RIG }).evidence.swr).toBe(1.4);
  });
});

describe("two powers", () => {
  const over = (seconds: number, heardAt: (second: number) => DriveHeard) => {
    const witnesses = new DriveWitnesses(SETTINGS);
    let ratio: number | null = null;
    for (let second = 0; second <= seconds; second += 1) {
      ratio = witnesses.hear(heardAt(second), second).evidence.powerRatio;
    }
    return ratio;
  };

  it("are compared by their means, whichever is the larger", () => {
    expect(over(60, () => ({ detector: detector(800), pttLine: null, rig: RIG }))).toBeCloseTo(2);
    expect(over(60, () => ({ detector: detector(200), pttLine: null, rig: RIG }))).toBeCloseTo(2);
  });

  it("that are keyed out of step agree all the same", () => {
    const ratio = over(120, (second) => ({
      detector: detector(second % 2 === 0 ? 400 : 0),
      pttLine: null,
      rig: { ...RIG, meterWatts: second % 2 === 0 ? 0 : 40 },
    }));
    expect(ratio).toBeLessThan(1.1);
  });

  it("of which one is missing or both are silent cannot be compared", () => {
    expect(over(60, () => ({ detector: detector(400), pttLine: null, rig: UNLINKED }))).toBeNull();
    expect(over(60, () => ({ detector: detector(0), pttLine: null, rig: { ...RIG, meterWatts: 0 } }))).toBeNull();
  });

  it("of which one shows nothing are as far apart as can be said", () => {
    expect(over(60, () => ({ detector: detector(0), pttLine: null, rig: RIG }))).toBe(99);
  });
});

describe("contradictions about the key", () => {
  const after = (seconds: number, heard: DriveHeard) => {
    const witnesses = new DriveWitnesses(SETTINGS);
    witnesses.hear(heard, 0);
    return witnesses.hear(heard, seconds).evidence.keyingSeconds;
  };

  it.each([
    ["line and rig", { detector: null, pttLine: line(true), rig: { ...RIG, transmitting: false } }, 25],
    ["power that nobody keyed", { detector: detector(100), pttLine: line(false), rig: UNLINKED }, 25],
    ["a pause in speech", { detector: detector(0), pttLine: line(true), rig: RIG }, 0],
    ["all of one mind", { detector: detector(100), pttLine: line(true), rig: RIG }, 0],
    ["a line that cannot be read", { detector: null, pttLine: { sample: null, code: "IO" }, rig: RIG }, 0],
  ] as const)("%s", (_, heard, seconds) => expect(after(25, heard)).toBe(seconds));

  it("begin anew after a moment of agreement", () => {
    const witnesses = new DriveWitnesses(SETTINGS);
    const apart: DriveHeard = { detector: null, pttLine: line(true), rig: { ...RIG, transmitting: false } };
    witnesses.hear(apart, 0);
    witnesses.hear({ ...apart, rig: RIG }, 10);
    witnesses.hear(apart, 20);
    expect(witnesses.hear(apart, 27).evidence.keyingSeconds).toBe(7);
  });
});
