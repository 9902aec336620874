// Which number of a cycle goes into which column of the log. It renames and flattens; it judges nothing.

import type { Outlook, PermitLines, RecordEntry } from "../core/effects.ts";
import type { Reading } from "../core/readings.ts";

/** One cycle for the log. */
export type LogRow = {
  readonly number: number;
  readonly wallSeconds: number;
  readonly wallTrusted: boolean;
  readonly outlook: Outlook;
  readonly permits: PermitLines;
  readonly cycleSeconds: number;
};

/** One line of the permanent record for the log. */
export type LogEntry = RecordEntry & {
  readonly number: number;
  readonly wallSeconds: number;
  readonly wallTrusted: boolean;
};

type Cell = number | string | null;
type Column = readonly [name: string, of: (row: LogRow) => Cell];

const STAGES = { full: 0, reduced: 1, inhibited: 2 } as const;

const flag = (value: boolean | null): Cell => (value === null ? null : Number(value));
const bits = (lines: { readonly reduce: boolean | null; readonly inhibit: boolean | null } | null): Cell =>
  lines === null || lines.reduce === null || lines.inhibit === null
    ? null
    : Number(lines.reduce) + 2 * Number(lines.inhibit);
const finite = (value: number | null): Cell => (value === null || !Number.isFinite(value) ? null : value);

function codesOf({ readings }: Outlook): Cell {
  const all: Readonly<Record<string, Reading | null>> = {
    inlet: readings.inlet,
    outlet: readings.outlet,
    wall: readings.wall,
    ambient: readings.ambient,
    probe: readings.core,
    humidity: readings.humidityRatio,
    fan: readings.fan?.rpm ?? null,
    volts: readings.supplyVolts,
    amperes: readings.supplyAmperes,
    drive: readings.drive?.watts ?? null,
  };
  const codes = Object.entries(all).flatMap(([name, reading]) =>
    reading === null || reading.code === null ? [] : [[name, reading.code] as const],
  );
  return codes.length === 0 ? null : JSON.stringify(Object.fromEntries(codes));
}

function headroomSeconds({ estimate: { headroom } }: Outlook): Cell {
  if (headroom.kind === "reaches limit") return headroom.seconds;
  return headroom.kind === "at limit" ? 0 : null;
}

const value = (reading: Reading | null | undefined): Cell => finite(reading?.value ?? null);

/** Columns per table, in the order in which they are written. */
export const COLUMNS = {
  measured: [
    ["inlet_celsius", ({ outlook }) => value(outlook.readings.inlet)],
    ["outlet_celsius", ({ outlook }) => value(outlook.readings.outlet)],
    ["wall_celsius", ({ outlook }) => value(outlook.readings.wall)],
    ["ambient_celsius", ({ outlook }) => value(outlook.readings.ambient)],
    ["probe_celsius", ({ outlook }) => value(outlook.readings.core)],
    ["humidity_ratio", ({ outlook }) => value(outlook.readings.humidityRatio)],
    ["fan_rpm", ({ outlook }) => value(outlook.readings.fan?.rpm)],
    ["fan_regularity", ({ outlook }) => outlook.readings.fan?.regularity ?? null],
    ["fan_volts", ({ outlook }) => value(outlook.readings.supplyVolts)],
    ["fan_amperes", ({ outlook }) => value(outlook.readings.supplyAmperes)],
    ["drive_watts", ({ outlook }) => value(outlook.readings.drive?.watts)],
    ["frequency_hertz", ({ outlook }) => outlook.readings.drive?.frequencyHertz ?? null],
    ["mode", ({ outlook }) => outlook.readings.drive?.mode ?? null],
    ["transmitting", ({ outlook }) => flag(outlook.readings.drive?.transmitting ?? null)],
    ["relay_readback", ({ outlook }) => bits(outlook.readings.relay)],
    ["codes", ({ outlook }) => codesOf(outlook)],
  ],
  believed: [
    ["core_celsius", ({ outlook }) => finite(outlook.estimate.coreCelsius)],
    ["core_uncertainty_kelvin", ({ outlook }) => finite(outlook.estimate.coreUncertaintyKelvin)],
    ["core_upper_celsius", ({ outlook }) => finite(outlook.estimate.coreUpperCelsius)],
    ["loss_watts", ({ outlook }) => finite(outlook.estimate.lossWatts)],
    ["airflow_cubic_meters_per_second", ({ outlook }) => finite(outlook.estimate.airflowCubicMetersPerSecond)],
    ["flow_factor", ({ outlook }) => finite(outlook.estimate.flowFactor)],
    ["headroom_seconds", ({ outlook }) => headroomSeconds(outlook)],
    ["sustainable_watts", ({ outlook }) => finite(outlook.estimate.sustainableWatts)],
    ["disagreement_kelvin", ({ outlook }) => finite(outlook.estimate.disagreementKelvin)],
    ["fan", ({ outlook }) => outlook.fan],
    ["degraded", ({ outlook }) => outlook.estimate.degraded.join(", ") || null],
  ],
  done: [
    ["power_stage", ({ outlook }) => STAGES[outlook.stage]],
    ["relay_permit", ({ permits }) => bits(permits)],
    ["cycle_duration_seconds", ({ cycleSeconds }) => cycleSeconds],
    ["cycle_late_seconds", ({ outlook }) => outlook.readings.upkeep.cycleLateSeconds],
  ],
} as const satisfies Readonly<Record<string, readonly Column[]>>;

export type TableName = keyof typeof COLUMNS;
export const TABLES = Object.keys(COLUMNS) as readonly TableName[];
