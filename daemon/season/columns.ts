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

export type Cell = number | string | null;

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

/** One column of the log: how finely it is kept (null = text), in what unit it is told, and where it comes from. */
export type LogColumn = {
  readonly name: string;
  /** Kept to whole multiples of this, so to half of it; null for text. */
  readonly step: number | null;
  /** Symbol of the unit for people; empty for a number without one. */
  readonly unit: string;
  readonly group: "measured" | "believed" | "done";
  readonly of: (row: LogRow) => Cell;
};

/** 1/128 °C: the finest step of the sensors in use, and an exact binary fraction. */
const SENSOR_STEP = 1 / 128;

const number =
  (group: LogColumn["group"]) =>
  (name: string, unit: string, step: number, of: LogColumn["of"]): LogColumn => ({ name, unit, step, group, of });
const text =
  (group: LogColumn["group"]) =>
  (name: string, of: LogColumn["of"]): LogColumn => ({ name, unit: "", step: null, group, of });

const measured = number("measured");
const believed = number("believed");
const done = number("done");

/** Every column, in the order in which they are kept. What was measured, believed and done stand apart by their group. */
export const COLUMNS: readonly LogColumn[] = [
  measured("inlet_celsius", "°C", SENSOR_STEP, ({ outlook }) => value(outlook.readings.inlet)),
  measured("outlet_celsius", "°C", SENSOR_STEP, ({ outlook }) => value(outlook.readings.outlet)),
  measured("wall_celsius", "°C", SENSOR_STEP, ({ outlook }) => value(outlook.readings.wall)),
  measured("ambient_celsius", "°C", SENSOR_STEP, ({ outlook }) => value(outlook.readings.ambient)),
  measured("probe_celsius", "°C", SENSOR_STEP, ({ outlook }) => value(outlook.readings.core)),
  measured("humidity_ratio", "", 0.001, ({ outlook }) => value(outlook.readings.humidityRatio)),
  measured("fan_rpm", "1/min", 1, ({ outlook }) => value(outlook.readings.fan?.rpm)),
  measured("fan_regularity", "", 0.01, ({ outlook }) => finite(outlook.readings.fan?.regularity ?? null)),
  measured("fan_volts", "V", 0.004, ({ outlook }) => value(outlook.readings.supplyVolts)),
  measured("fan_amperes", "A", 0.0005, ({ outlook }) => value(outlook.readings.supplyAmperes)),
  measured("drive_watts", "W", 0.5, ({ outlook }) => value(outlook.readings.drive?.watts)),
  measured("frequency_hertz", "Hz", 1, ({ outlook }) => finite(outlook.readings.drive?.frequencyHertz ?? null)),
  text("measured")("mode", ({ outlook }) => outlook.readings.drive?.mode ?? null),
  measured("transmitting", "", 1, ({ outlook }) => flag(outlook.readings.drive?.transmitting ?? null)),
  measured("relay_readback", "", 1, ({ outlook }) => bits(outlook.readings.relay)),
  measured("tach_rejected_edges", "", 1, ({ outlook }) => finite(outlook.readings.fan?.rejectedEdges ?? null)),
  measured("tach_lost_edges", "", 1, ({ outlook }) => finite(outlook.readings.fan?.lostEdges ?? null)),
  measured("sensor_errors_receiving", "", 1, ({ outlook }) => outlook.readings.upkeep.sensorErrorsReceiving),
  measured("sensor_errors_transmitting", "", 1, ({ outlook }) => outlook.readings.upkeep.sensorErrorsTransmitting),
  text("measured")("codes", ({ outlook }) => codesOf(outlook)),
  believed("core_celsius", "°C", 0.01, ({ outlook }) => finite(outlook.estimate.coreCelsius)),
  believed("core_uncertainty_kelvin", "K", 0.01, ({ outlook }) => finite(outlook.estimate.coreUncertaintyKelvin)),
  believed("core_upper_celsius", "°C", 0.01, ({ outlook }) => finite(outlook.estimate.coreUpperCelsius)),
  believed("loss_watts", "W", 0.05, ({ outlook }) => finite(outlook.estimate.lossWatts)),
  believed("airflow_cubic_meters_per_second", "m³/s", 1e-6, ({ outlook }) =>
    finite(outlook.estimate.airflowCubicMetersPerSecond),
  ),
  believed("flow_factor", "", 0.001, ({ outlook }) => finite(outlook.estimate.flowFactor)),
  believed("loss_factor", "", 0.001, ({ outlook }) => finite(outlook.estimate.lossFactor)),
  believed("headroom_seconds", "s", 1, ({ outlook }) => headroomSeconds(outlook)),
  believed("sustainable_watts", "W", 1, ({ outlook }) => finite(outlook.estimate.sustainableWatts)),
  believed("disagreement_kelvin", "K", 0.01, ({ outlook }) => finite(outlook.estimate.disagreementKelvin)),
  text("believed")("fan", ({ outlook }) => outlook.fan),
  text("believed")("degraded", ({ outlook }) => outlook.estimate.degraded.join(", ") || null),
  done("power_stage", "", 1, ({ outlook }) => STAGES[outlook.stage]),
  done("relay_permit", "", 1, ({ permits }) => bits(permits)),
  done("cycle_duration_seconds", "s", 0.0005, ({ cycleSeconds }) => cycleSeconds),
  done("cycle_late_seconds", "s", 0.0005, ({ outlook }) => outlook.readings.upkeep.cycleLateSeconds),
];

/** Names of the columns that hold numbers: these have rollups and can be charted. */
export const SERIES: readonly string[] = COLUMNS.filter(({ step }) => step !== null).map(({ name }) => name);
