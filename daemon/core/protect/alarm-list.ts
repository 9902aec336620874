// The rationalised alarm list: for each alarm its setpoint, priority, cause, consequence and the response expected.
// What needs no response is an event and does not stand here. It evaluates nothing; the conditions stand in conditions/.

import type { AlarmDefinition } from "./alarm.ts";
import { coreAlarms } from "./lists/core-alarms.ts";
import { fanAlarms } from "./lists/fan-alarms.ts";
import { sensorAlarms } from "./lists/sensor-alarms.ts";
import { upkeepAlarms } from "./lists/upkeep-alarms.ts";
import { DEFAULT_PROTECTION, type ProtectionSettings } from "./settings.ts";

export type AlarmTag =
  | ReturnType<typeof coreAlarms>[number]["tag"]
  | ReturnType<typeof fanAlarms>[number]["tag"]
  | ReturnType<typeof sensorAlarms>[number]["tag"]
  | ReturnType<typeof upkeepAlarms>[number]["tag"];

/** A row of the list with its tag from the closed set. */
export type Alarm = AlarmDefinition & { readonly tag: AlarmTag };

const PRIORITY_RANK = { high: 0, medium: 1, low: 2 } as const;

/** The list for these settings, high priority first; without a fan there are no fan alarms. */
export function rationaliseAlarms(settings: ProtectionSettings): readonly Alarm[] {
  const alarms: Alarm[] = [
    ...coreAlarms(settings),
    ...(settings.fan === null ? [] : fanAlarms(settings)),
    ...sensorAlarms(settings),
    ...upkeepAlarms(settings),
  ];
  return Object.freeze(alarms.sort((a, b) => PRIORITY_RANK[a.priority] - PRIORITY_RANK[b.priority]));
}

/** The setpoint in words, e.g. `at or above 95 °C`. */
export function describeSetpoint(alarm: AlarmDefinition): string {
  const { setpoint } = alarm;
  if (setpoint === null) return "yes or no";
  return `${setpoint.sense} ${setpoint.value}${setpoint.unit === "" ? "" : ` ${setpoint.unit}`}`;
}

function describeSeconds(seconds: number): string {
  if (seconds < 120) return `${seconds} s`;
  if (seconds < 7200) return `${seconds / 60} min`;
  if (seconds < 172_800) return `${seconds / 3600} h`;
  return `${seconds / 86_400} days`;
}

/** The list as a Markdown table, one row per alarm, for the manual. */
export function alarmTableMarkdown(settings: ProtectionSettings = DEFAULT_PROTECTION): string {
  const rows = rationaliseAlarms(settings).map((alarm) => [
    `\`${alarm.tag}\``,
    alarm.priority,
    describeSetpoint(alarm) + (alarm.latch ? ", latched" : ""),
    alarm.cause,
    alarm.consequence,
    alarm.response,
    describeSeconds(alarm.respondWithinSeconds),
  ]);
  const head = ["Alarm", "Priority", "Comes", "Cause", "Consequence", "Response", "Respond within"];
  return [head, head.map(() => "---"), ...rows].map((cells) => `| ${cells.join(" | ")} |`).join("\n");
}
