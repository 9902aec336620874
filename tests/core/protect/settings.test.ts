// Settings that cannot be are named, every one, and the defaults and what is derived from them can be.

import { describe, expect, it } from "vitest";
import { DEFAULT_PROTECTION, limitsBelow, type ProtectionSettings } from "../../../daemon/core/protect/settings.ts";
import { checkSettings } from "../../../daemon/core/protect/settings-check.ts";
import { programWith } from "./fixtures.ts";

const { limits, fan, alarms } = DEFAULT_PROTECTION;
const faultsOf = (part: Partial<ProtectionSettings>): string[] =>
  checkSettings({ ...DEFAULT_PROTECTION, ...part }).map(({ what }) => what);

describe("settings", () => {
  it("run by default and at every limit an operator may choose", () => {
    expect(checkSettings(DEFAULT_PROTECTION)).toEqual([]);
    for (const limit of [60, 80, 95, 110, 125, 200]) expect(faultsOf({ limits: limitsBelow(limit) })).toEqual([]);
  });

  it.each<[string, Partial<ProtectionSettings>, string]>([
    ["a limit at the Curie point", { limits: { ...limits, curieCelsius: 110 } }, "limits.curieCelsius"],
    ["a reduce point at the limit", { limits: { ...limits, reduceCelsius: 110 } }, "limits.reduceCelsius"],
    ["a warning above the reduce point", { limits: { ...limits, alarmCelsius: 101 } }, "limits.alarmCelsius"],
    ["no deadband of the reduce point", { limits: { ...limits, resetCelsius: 100 } }, "limits.resetCelsius"],
    ["outlet points crossed", { limits: { ...limits, outletReduceCelsius: 90 } }, "limits.outletReduceCelsius"],
    ["a bypass for ever", { limits: { ...limits, longestBypassSeconds: 1e9 } }, "limits.longestBypassSeconds"],
    [
      "a bypass that is no number",
      { limits: { ...limits, longestBypassSeconds: Number.NaN } },
      "limits.longestBypassSeconds",
    ],
    ["a grace of an hour", { limits: { ...limits, estimateGraceSeconds: 3600 } }, "limits.estimateGraceSeconds"],
    ["a witness grace of an hour", { limits: { ...limits, witnessGraceSeconds: 3600 } }, "limits.witnessGraceSeconds"],
    ["a negative minimum time", { limits: { ...limits, minimumReducedSeconds: -1 } }, "limits.minimumReducedSeconds"],
    ["shelving for a year", { alarms: { ...alarms, longestShelvingSeconds: 3.2e7 } }, "alarms.longestShelvingSeconds"],
    ["a setpoint that is no number", { alarms: { ...alarms, flowFactor: Number.NaN } }, "alarms.flowFactor"],
    ["a fan that stands", { fan: { ...fan, nominalRpm: 0 } }, "fan.nominalRpm"],
    ["a fan without supply", { fan: { ...fan, nominalVolts: 0 } }, "fan.nominalVolts"],
    ["a stall within the gap between pulses", { fan: { ...fan, nominalRpm: 100 } }, "fan.stallSeconds"],
    ["a slow fan that is faster", { fan: { ...fan, slowRatio: 1.2 } }, "fan.slowRatio"],
    [
      "half an attempt",
      { fan: { ...fan, powerCycle: { attempts: 0.5, offSeconds: 4, waitSeconds: 30 } } },
      "fan.powerCycle.attempts",
    ],
    ["no drive", { fullDriveWatts: 0 }, "fullDriveWatts"],
    ["no cycle", { cycleSeconds: 0 }, "cycleSeconds"],
  ])("refuse %s", (_, part, what) => {
    expect(faultsOf(part)).toContain(what);
    expect(() => programWith(part)).toThrow(what);
  });

  it("name every fault at once, with what was expected and what was got", () => {
    const faults = checkSettings({
      ...DEFAULT_PROTECTION,
      limits: { ...limits, reduceCelsius: 120, resetCelsius: 130 },
    });
    expect(faults).toEqual([
      { what: "limits.reduceCelsius", expected: "less than limits.limitCelsius (110)", got: "120" },
      { what: "limits.resetCelsius", expected: "less than limits.reduceCelsius (120)", got: "130" },
    ]);
  });

  it("are frozen with the program", () => {
    const program = programWith();
    expect(Object.isFrozen(program)).toBe(true);
    expect(Object.isFrozen(program.alarmList)).toBe(true);
  });
});
