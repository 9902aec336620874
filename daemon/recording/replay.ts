// A recording run through step() itself: row in, row out, with the recording's own time. It adds no physics of its own
// and reads no clock, so that a replay says what the daemon would have said.

import type { Command } from "../core/commands.ts";
import { NO_DRIVE_EVIDENCE } from "../core/drive-evidence.ts";
import type { Outlook, PermitLines } from "../core/effects.ts";
import { bad, type FanReading, good, type Reading, type Readings, type UpkeepReading } from "../core/readings.ts";
import { beginState, type Program, type State, step } from "../core/step.ts";
import { csvLine } from "./csv.ts";
import { formatDecimal } from "./decimal.ts";
import type { RecordedRow } from "./recording.ts";

export const REPLAY_COLUMNS = [
  "time_seconds",
  "core_celsius",
  "core_uncertainty_kelvin",
  "core_upper_celsius",
  "loss_watts",
  "airflow_cubic_meters_per_second",
  "flow_factor",
  "headroom_seconds",
  "sustainable_watts",
  "power_stage",
] as const;

/** Code of a field that was left empty. */
const MISSING = "MISSING";
/** Power from which the transmitter counts as keyed. */
const KEYED_WATTS = 5;

/** A machine in good health: a recording says nothing of the one that made it. */
const UPKEEP: UpkeepReading = {
  cycleLateSeconds: 0,
  serviceSilentSeconds: 0,
  logWritable: true,
  diskFreeRatio: null,
  busStuck: false,
  wallTrusted: false,
  wallSeconds: null,
  residentBytes: null,
  rigLinkAgeSeconds: null,
  sensorErrorsTransmitting: 0,
  sensorErrorsReceiving: 0,
};

const NO_COMMANDS: readonly Command[] = [];

/** Header and rows as CSV lines. */
export function* replay(program: Program, rows: Iterable<RecordedRow>): Generator<string> {
  yield csvLine(REPLAY_COLUMNS);
  let state: State | null = null;
  let permits: PermitLines = { reduce: false, inhibit: false };
  let turnedSeconds: number | null = null;
  for (const row of rows) {
    if (row.fan_rpm != null && row.fan_rpm > 0) turnedSeconds = row.time_seconds;
    const readings = readingsOf(row, turnedSeconds, permits);
    const commands = row.spot_core_celsius == null ? NO_COMMANDS : spotReading(row.line, row.spot_core_celsius);
    state ??= beginState(program, null, row.time_seconds);
    const stepped = step(program, state, readings, commands, row.time_seconds);
    state = stepped.state;
    permits = stepped.effects.permits;
    yield lineOf(stepped.effects.outlook);
  }
}

function spotReading(line: number, celsius: number): readonly Command[] {
  return [
    { id: `row ${line}`, by: "recording", from: "recording", action: { kind: "spot reading", celsius, secondsAgo: 0 } },
  ];
}

function readingsOf(row: RecordedRow, turnedSeconds: number | null, permits: PermitLines): Readings {
  const driven = row.drive_watts !== undefined;
  return {
    inlet: readingOf(row.inlet_celsius) ?? bad(MISSING),
    outlet: readingOf(row.outlet_celsius) ?? bad(MISSING),
    wall: readingOf(row.wall_celsius),
    ambient: readingOf(row.ambient_celsius),
    core: null,
    humidityRatio: readingOf(row.humidity_ratio),
    fan: fanOf(row, turnedSeconds),
    supplyVolts: null,
    supplyAmperes: null,
    drive: driven
      ? {
          watts: readingOf(row.drive_watts) ?? bad(MISSING),
          frequencyHertz: row.frequency_hertz ?? null,
          mode: null,
          transmitting: row.drive_watts == null ? null : row.drive_watts >= KEYED_WATTS,
        }
      : null,
    driveEvidence: NO_DRIVE_EVIDENCE,
    relay: permits,
    upkeep: UPKEEP,
  };
}

/** Null where there is no such column. */
function readingOf(value: number | null | undefined): Reading | null {
  if (value === undefined) return null;
  return value === null ? bad(MISSING) : good(value);
}

function fanOf({ fan_rpm, time_seconds }: RecordedRow, turnedSeconds: number | null): FanReading {
  return {
    rpm: fan_rpm == null ? bad(MISSING) : good(fan_rpm),
    regularity: null,
    rejectedEdges: 0,
    lostEdges: null,
    secondsSinceEdge: turnedSeconds === null ? null : time_seconds - turnedSeconds,
  };
}

function lineOf({ atSeconds, estimate, stage }: Outlook): string {
  const { headroom } = estimate;
  const headroomSeconds =
    headroom.kind === "reaches limit" ? headroom.seconds : headroom.kind === "at limit" ? 0 : null;
  const core = formatDecimal(estimate.coreCelsius, 3);
  const uncertainty = formatDecimal(estimate.coreUncertaintyKelvin, 3);
  const upper = formatDecimal(estimate.coreUpperCelsius, 3);
  const loss = formatDecimal(estimate.lossWatts, 3);
  const airflow = formatDecimal(estimate.airflowCubicMetersPerSecond, 7);
  const flow = formatDecimal(estimate.flowFactor, 4);
  const left = formatDecimal(headroomSeconds, 0);
  const sustainable = formatDecimal(estimate.sustainableWatts, 1);
  return `${atSeconds},${core},${uncertainty},${upper},${loss},${airflow},${flow},${left},${sustainable},${stage}\r\n`;
}
