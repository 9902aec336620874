// Every alarm's condition: quiet in a quiet scene, present in a scene made for it, with words that carry the number.
// The table is keyed by the closed set of tags: an alarm without a scene does not compile.

import { describe, expect, it } from "vitest";
import { NO_DRIVE_EVIDENCE } from "../../../daemon/core/drive-evidence.ts";
import type { AlarmTag } from "../../../daemon/core/protect/alarm-list.ts";
import { CAUSE } from "../../../daemon/core/protect/causes.ts";
import type { FanHealth } from "../../../daemon/core/protect/fan.ts";
import type { Scene } from "../../../daemon/core/protect/scene.ts";
import type { SensorWatch } from "../../../daemon/core/protect/sensor-watch.ts";
import { bad, good, type Readings, suspect, type UpkeepReading } from "../../../daemon/core/readings.ts";
import { ESTIMATE, FAN, programWith, READINGS, SCENE, TURNING, UPKEEP } from "./fixtures.ts";

const program = programWith();
const watchOf = (tag: AlarmTag) => program.watches.find(({ alarm }) => alarm.tag === tag)!;

const reading = (part: Partial<Readings>): Scene => ({ ...SCENE, readings: { ...READINGS, ...part } });
const upkeep = (part: Partial<UpkeepReading>): Scene => reading({ upkeep: { ...UPKEEP, ...part } });
const estimated = (part: Partial<Scene["estimate"]>): Scene => ({ ...SCENE, estimate: { ...ESTIMATE, ...part } });
const fan = (part: Partial<FanHealth>, more: Partial<Readings> = {}): Scene => ({
  ...reading(more),
  fan: { ...TURNING, ...part },
});

const STILL: SensorWatch = {
  value: 31.25,
  atSeconds: 1000,
  changedSeconds: 700,
  usualDwellSeconds: 0,
  dwells: 0,
  stepKelvin: 1 / 16,
  moverLow: null,
  moverHigh: null,
  jumps: 0,
  accepted: 31.25,
  jumpedSeconds: null,
  jumpedTo: 31.25,
  jumpedReadings: 0,
  dropouts: 0,
  missing: false,
  heardSeconds: 990,
  settledSeconds: null,
};

/** A scene in which the alarm's condition holds, and a part of its words. */
const SCENES: Readonly<Record<AlarmTag, readonly [Scene, string]>> = {
  core_upper_trip: [estimated({ coreCelsius: 99, coreUpperCelsius: 110 }), "110.0 °C"],
  core_measured_trip: [{ ...SCENE, witness: { probeCelsius: 111.2, sumCelsius: 90, bad: false } }, "probe 111.2 °C"],
  core_upper_high: [estimated({ coreCelsius: 85, coreUpperCelsius: 95.5 }), "95.5 °C"],
  outlet_high: [reading({ outlet: good(66) }), "66.0 °C"],
  flow_factor_low: [estimated({ flowFactor: 0.55, flowFactorUncertainty: 0.05 }), "0.55"],
  loss_factor_high: [estimated({ lossFactor: 1.6, lossWatts: 96 }), "1.60 times"],
  estimate_disagreement: [estimated({ disagreementKelvin: -18 }), "-18.0 K"],
  model_mismatch: [estimated({ innovationSquared: 9 }), "9.0"],
  estimate_unusable: [estimated({ usable: false, degraded: ["no data"] }), "no data"],
  condensation: [{ ...reading({ wall: good(9.5) }), dewPointCelsius: 9 }, "dew point 9.0 °C"],
  fan_stall: [fan({ verdict: "stalled", pulse: { ...TURNING.pulse, quietSeconds: 999.6 } }), "0.4 s"],
  fan_slow: [fan({ verdict: "slow", speedRatio: 0.7 }, { fan: { ...FAN, rpm: good(7700) } }), "70 %"],
  fan_surging: [fan({ verdict: "surging", pulse: { ...TURNING.pulse, unsteadiness: 0.11 } }), "11 %"],
  tach_doubtful: [fan({ verdict: "doubtful" }, { fan: { ...FAN, rpm: bad("IRREGULAR") } }), "IRREGULAR"],
  fan_supply_low: [reading({ supplyVolts: good(9.9) }), "9.90 V"],
  inlet_bad: [reading({ inlet: bad("NACK") }), "NACK"],
  outlet_bad: [reading({ outlet: bad("TIMEOUT") }), "TIMEOUT"],
  wall_bad: [reading({ wall: bad("NACK") }), "NACK"],
  ambient_bad: [reading({ ambient: bad("CRC") }), "CRC"],
  core_bad: [reading({ core: bad("MALFORMED") }), "MALFORMED"],
  humidity_bad: [reading({ humidityRatio: bad("CRC") }), "CRC"],
  supply_bad: [reading({ supplyAmperes: bad("NACK") }), "NACK"],
  drive_bad: [reading({ drive: { watts: bad("NACK"), frequencyHertz: null, mode: null, transmitting: null } }), "NACK"],
  drive_disagreement: [
    reading({
      driveEvidence: {
        ...NO_DRIVE_EVIDENCE,
        powerRatio: 2.04,
        sources: [
          { name: "detector", watts: good(400), transmitting: true },
          { name: "rig meter", watts: suspect(816, "INDIRECT"), transmitting: null },
        ],
      },
    }),
    "2.0 times apart on average; now detector 400 W, rig meter 816 W",
  ],
  keying_disagreement: [
    reading({
      driveEvidence: {
        ...NO_DRIVE_EVIDENCE,
        keyingSeconds: 21.4,
        sources: [
          { name: "PTT line", watts: null, transmitting: true },
          { name: "rig", watts: null, transmitting: false },
        ],
      },
    }),
    "PTT line keyed, rig not keyed, for 21 s",
  ],
  inlet_stuck: [{ ...SCENE, inletWatch: { ...STILL, changedSeconds: 300, moverLow: 10, moverHigh: 15.5 } }, "700 s"],
  outlet_stuck: [{ ...SCENE, outletWatch: { ...STILL, moverLow: 30, moverHigh: 60 } }, "31.25 °C"],
  inlet_implausible: [reading({ inlet: good(60), ambient: good(20) }), "60.0 °C"],
  outlet_implausible: [{ ...SCENE, outletWatch: { ...STILL, jumps: 1.9 } }, "jumps"],
  inlet_outlet_swapped: [{ ...reading({ inlet: good(30), outlet: good(24) }), swapEvidenceSeconds: 300 }, "-6.0 K"],
  rf_upsets: [
    {
      ...SCENE,
      upsets: {
        ...SCENE.upsets,
        transmittingErrors: 12,
        transmittingSeconds: 120,
        receivingErrors: 1,
        receivingSeconds: 600,
      },
    },
    "6.0 errors per minute",
  ],
  relay_disagrees: [reading({ relay: { reduce: true, inhibit: false } }), "inhibit released"],
  proof_test_overdue: [{ ...SCENE, proofDueWallSeconds: UPKEEP.wallSeconds! - 86_400 * 3 }, "3 days"],
  bus_stuck: [upkeep({ busStuck: true }), "held low"],
  log_not_writable: [upkeep({ logWritable: false }), "cannot be written"],
  disk_nearly_full: [upkeep({ diskFreeRatio: 0.031 }), "3.1 %"],
  service_silent: [upkeep({ serviceSilentSeconds: 7.5 }), "7.5 s"],
  cycle_overrun: [upkeep({ cycleLateSeconds: 0.4 }), "400 ms"],
  memory_growth: [upkeep({ residentBytes: 700 * 1_048_576 }), "700 MiB"],
};

const cases = Object.entries(SCENES).map(([tag, [scene, part]]) => ({ tag: tag as AlarmTag, scene, part }));

describe("conditions", () => {
  it("cover the list", () => {
    expect(cases.map(({ tag }) => tag).sort()).toEqual(program.alarmList.map(({ tag }) => tag).sort());
  });

  it.each(cases)("$tag is absent in a quiet scene", ({ tag }) => {
    const { alarm, condition } = watchOf(tag);
    expect(condition.holds(SCENE, alarm, false)).not.toBe(true);
  });

  it.each(cases)("$tag comes, in words: $part", ({ tag, scene, part }) => {
    const { alarm, condition } = watchOf(tag);
    expect(condition.holds(scene, alarm, false)).toBe(true);
    expect(condition.words(scene, alarm)).toContain(part);
  });

  it.each(cases)("$tag has words for the quiet scene too", ({ tag }) => {
    const { alarm, condition } = watchOf(tag);
    expect(condition.words(SCENE, alarm)).not.toMatch(/undefined|NaN|null/);
  });

  it("are silent about what is not fitted", () => {
    const bare = reading({
      inlet: null,
      outlet: null,
      wall: null,
      ambient: null,
      humidityRatio: null,
      fan: null,
      supplyVolts: null,
      supplyAmperes: null,
      drive: null,
      relay: null,
    });
    const scene: Scene = { ...bare, dewPointCelsius: null, fan: { ...TURNING, verdict: "unknown" } };
    const coming = program.watches.filter(({ alarm, condition }) => condition.holds(scene, alarm, false) === true);
    expect(coming.map(({ alarm }) => alarm.tag)).toEqual([]);
    for (const { alarm, condition } of program.watches) {
      expect(condition.words(scene, alarm)).not.toMatch(/undefined|NaN/);
    }
  });

  it("suppress the fan's alarms, and only these, while it is off on purpose", () => {
    const off: Scene = { ...SCENE, fanOffOnPurpose: true };
    const suppressed = program.watches.filter(({ condition }) => condition.suppressed?.(off) === true);
    expect(suppressed.map(({ alarm }) => alarm.tag).sort()).toEqual([
      "fan_slow",
      "fan_stall",
      "fan_supply_low",
      "fan_surging",
      "tach_doubtful",
    ]);
    expect(program.watches.some(({ condition }) => condition.suppressed?.(SCENE) === true)).toBe(false);
  });
});

describe("single conditions", () => {
  const holds = (tag: AlarmTag, scene: Scene, held = false): boolean | null => {
    const { alarm, condition } = watchOf(tag);
    return condition.holds(scene, alarm, held);
  };

  it("a bound that is no number is above everything", () => {
    expect(holds("core_upper_trip", estimated({ coreUpperCelsius: Number.NaN }))).toBe(true);
  });

  it("an unusable estimate raises no core alarm of its own but does not end one", () => {
    const unusable = estimated({ usable: false, coreUpperCelsius: 120 });
    expect(holds("core_upper_trip", unusable, false)).toBeNull();
    expect(holds("core_upper_trip", unusable, true)).toBe(true);
  });

  it("a measured trip is left to the bound's own alarm while the bound trips too, unless it came first", () => {
    const measured = (sumCelsius: number): Scene => ({
      ...SCENE,
      causes: CAUSE.boundAtLimit,
      witness: { probeCelsius: null, sumCelsius, bad: false },
    });
    expect(holds("core_measured_trip", measured(131), false)).toBe(false);
    expect(holds("core_measured_trip", measured(131), true)).toBe(true);
    expect(holds("core_measured_trip", measured(124), true)).toBe(false);
  });

  it("a measured trip has a deadband of its own, whatever the stage is for other reasons", () => {
    const at = (probeCelsius: number): Scene => ({
      ...SCENE,
      causes: CAUSE.witnessAtLimit,
      witness: { probeCelsius, sumCelsius: null, bad: false },
    });
    expect([109.9, 110].map((celsius) => holds("core_measured_trip", at(celsius), false))).toEqual([false, true]);
    expect([104.9, 105].map((celsius) => holds("core_measured_trip", at(celsius), true))).toEqual([false, true]);
  });

  it("a flow factor that is not well known is not held against the vents", () => {
    expect(holds("flow_factor_low", estimated({ flowFactor: 0.5, flowFactorUncertainty: 0.3 }))).toBeNull();
  });

  it("a detector that was never fitted has not failed", () => {
    const drive = { watts: bad("NOT_FITTED"), frequencyHertz: 7.1e6, mode: "CW", transmitting: true };
    expect(holds("drive_bad", reading({ drive }))).toBeNull();
  });

  it("a suspect sensor is not a bad one", () => {
    expect(holds("outlet_bad", reading({ outlet: suspect(25, "JUMP") }))).toBe(false);
  });

  it("a line that cannot be read back is not trusted", () => {
    expect(holds("relay_disagrees", reading({ relay: { reduce: true, inhibit: null } }))).toBe(true);
    expect(holds("relay_disagrees", reading({ relay: null }))).toBeNull();
  });

  it("errors that come as often while receiving are not RF", () => {
    const upsets = { transmittingErrors: 12, transmittingSeconds: 120, receivingErrors: 40, receivingSeconds: 600 };
    expect(holds("rf_upsets", { ...SCENE, upsets: { ...SCENE.upsets, ...upsets } })).toBe(false);
  });

  it("a clock that is not trusted makes no proof test overdue", () => {
    const scene: Scene = { ...upkeep({ wallTrusted: false }), proofDueWallSeconds: 0 };
    expect(holds("proof_test_overdue", scene)).toBeNull();
  });

  it("a tach lead that is lost says so", () => {
    const lost = fan({ verdict: "doubtful", pulse: { ...TURNING.pulse, quietSeconds: 900 } });
    const { alarm, condition } = watchOf("tach_doubtful");
    expect(condition.words(lost, alarm)).toContain("lead is lost");
    expect(condition.words(fan({ verdict: "unknown" }, { fan: { ...FAN, rpm: bad("IO") } }), alarm)).toContain("IO");
  });

  it("a stall says when the fan has no supply, and when it never turned", () => {
    const { alarm, condition } = watchOf("fan_stall");
    const dead = fan({ verdict: "stalled", pulse: { ...TURNING.pulse, quietSeconds: null, unpowered: true } });
    expect(condition.words(dead, alarm)).toBe("no pulses since the start; the fan has no supply");
  });
});
