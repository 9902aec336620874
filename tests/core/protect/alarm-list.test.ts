// The rationalised list: nothing without a response, one tag each, deadbands on the safe side, and a table that carries all of it.

import { describe, expect, it } from "vitest";
import { alarmTableMarkdown, describeSetpoint, rationaliseAlarms } from "../../../daemon/core/protect/alarm-list.ts";
import { limitsBelow } from "../../../daemon/core/protect/settings.ts";
import { SETTINGS } from "./fixtures.ts";

const list = rationaliseAlarms(SETTINGS);
const bySome = (tag: string) => list.find((alarm) => alarm.tag === tag);

describe("the rationalised alarm list", () => {
  it("gives every alarm a tag of its own in the spelling of the identifiers", () => {
    expect(new Set(list.map(({ tag }) => tag)).size).toBe(list.length);
    for (const { tag } of list) expect(tag).toMatch(/^[a-z]+(_[a-z]+)*$/);
  });

  it.each(list)("$tag says cause, consequence and a response with a time", (alarm) => {
    for (const words of [alarm.cause, alarm.consequence, alarm.response]) {
      expect(words.length).toBeGreaterThan(15);
      expect(words).not.toMatch(/\||\n|\.$/);
    }
    expect(alarm.respondWithinSeconds).toBeGreaterThan(0);
  });

  it("asks for a quick response to high priority and for no quick one to low", () => {
    for (const alarm of list) {
      if (alarm.priority === "high") expect(alarm.respondWithinSeconds).toBeLessThanOrEqual(300);
      if (alarm.priority === "low") expect(alarm.respondWithinSeconds).toBeGreaterThanOrEqual(600);
    }
  });

  it.each(list.filter(({ setpoint }) => setpoint !== null))(
    "$tag has a deadband that does not reach past zero",
    (alarm) => {
      expect(alarm.deadband).toBeGreaterThanOrEqual(0);
      if (alarm.setpoint?.sense === "at or above") expect(alarm.deadband).toBeLessThan(alarm.setpoint.value);
    },
  );

  it("warns before the power is reduced, reduces before it trips, and latches the trip", () => {
    const warns = bySome("core_upper_high")?.setpoint?.value ?? Number.NaN;
    const trips = bySome("core_upper_trip")?.setpoint?.value ?? Number.NaN;
    expect(warns).toBeLessThanOrEqual(SETTINGS.limits.reduceCelsius);
    expect(trips).toBe(SETTINGS.limits.limitCelsius);
    expect(bySome("core_upper_trip")?.latch).toBe(true);
  });

  it("follows the settings", () => {
    const lower = rationaliseAlarms({ ...SETTINGS, limits: limitsBelow(90) });
    expect(lower.find(({ tag }) => tag === "core_upper_trip")?.setpoint?.value).toBe(90);
    expect(lower.find(({ tag }) => tag === "core_upper_high")?.setpoint?.value).toBe(75);
  });

  it("leaves the fan's alarms out where no fan is watched", () => {
    const without = rationaliseAlarms({ ...SETTINGS, fan: null }).map(({ tag }) => tag);
    const gone = list.map(({ tag }) => tag).filter((tag) => !without.includes(tag));
    expect(gone.sort()).toEqual(["fan_slow", "fan_stall", "fan_supply_low", "fan_surging", "tach_doubtful"]);
  });

  it("stands with high priority first", () => {
    const order = list.map(({ priority }) => ["high", "medium", "low"].indexOf(priority));
    expect(order).toEqual([...order].sort((a, b) => a - b));
  });

  it("writes setpoints as an operator reads them", () => {
    expect(describeSetpoint(bySome("core_upper_trip")!)).toBe("at or above 110 °C");
    expect(describeSetpoint(bySome("flow_factor_low")!)).toBe("at or below 0.7");
    expect(describeSetpoint(bySome("fan_stall")!)).toBe("yes or no");
  });

  it("becomes a Markdown table with a row for each alarm and seven cells in each row", () => {
    const rows = alarmTableMarkdown().split("\n");
    expect(rows).toHaveLength(list.length + 2);
    for (const row of rows) expect(row.split(" | ")).toHaveLength(7);
    for (const { tag, response } of list) {
      const row = rows.find((line) => line.startsWith(`| \`${tag}\` |`));
      expect(row).toContain(response);
    }
  });
});
