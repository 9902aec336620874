// The state of the feedpoint as metric families, under the vocabulary's names. What cannot be told now has no sample: a scraper then
// marks the series stale, and the last number is never left standing.

import type { AlarmState } from "../../core/effects.ts";
import type { HardwareHealth } from "../../wire/check.ts";
import { type About, type Frame, QUANTITY_NAMES, type QuantityName, type WireStage } from "../../wire/frame.ts";
import type { Family } from "./exposition.ts";
import type { Tally } from "./tally.ts";

export type MetricsSource = {
  readonly about: About;
  readonly frame: Frame;
  /** Tags of the rationalised list. */
  readonly alarmTags: readonly string[];
  /** Null until the heartbeat told of it. */
  readonly health: HardwareHealth | null;
  readonly tally: Pick<Tally, "cycleDuration" | "rejectedEdges">;
  /** As node:process has it. */
  readonly nodeVersion: string;
};

/** What each quantity is; the words of the vocabulary. */
const HELP: { readonly [name in QuantityName]: string } = {
  inlet_celsius: "Air entering at the vents",
  outlet_celsius: "Air leaving at the fan",
  ambient_celsius: "Air outside the box",
  wall_celsius: "Wall of the box",
  core_celsius: "Estimate of the core's temperature",
  core_upper_celsius: "Upper bound of the core's temperature (k = 2, hottest toroid), on which protection acts",
  core_uncertainty_kelvin: "Standard uncertainty of the core's estimate",
  fan_rpm: "Fan speed in revolutions per minute",
  fan_volts: "Supply of the fan",
  fan_amperes: "Current of the fan",
  airflow_cubic_meters_per_second: "Volume of air through the box",
  flow_factor: "Airflow over that of clean vents at this fan speed",
  humidity_ratio: "Relative humidity of the inlet air, 0 to 1",
  dew_point_celsius: "Dew point of the inlet air",
  drive_watts: "RF power at the primary, average over the last second",
  loss_watts: "Heat made in core and winding",
  headroom_seconds: "Time until the upper bound reaches the limit at the present pace; +Inf: it levels off below",
  sustainable_watts: "Largest steady drive at which the upper bound settles at the limit",
};

const STAGES: readonly WireStage[] = ["full", "reduced", "inhibited"];

/** IEC 62682; the compiler knows when one is missing. */
const STATES: { readonly [state in AlarmState]: true } = {
  normal: true,
  unacknowledged: true,
  acknowledged: true,
  "returned to normal unacknowledged": true,
  "latched unacknowledged": true,
  "latched acknowledged": true,
  shelved: true,
  "suppressed by design": true,
  "out of service": true,
};

/** The end of a name that is a unit; names without one have none. */
const UNIT = /(celsius|kelvin|rpm|volts|amperes|cubic_meters_per_second|ratio|watts|seconds)$/;

/** All families, in the order of the vocabulary. */
export function familiesOf(source: MetricsSource): readonly Family[] {
  const { about, frame } = source;
  return [
    ...QUANTITY_NAMES.map((name) => quantityFamily(frame, name)),
    {
      name: "limit_celsius",
      kind: "gauge",
      unit: "celsius",
      help: "Upper bound of the core at which power is inhibited",
      points: [[{}, about.limit_celsius]],
    },
    {
      name: "power_stage",
      kind: "stateset",
      help: "What protection permits",
      states: STAGES,
      points: [[{}, frame.power_stage]],
    },
    lineFamily("relay_permit", "Permit line as wanted, 1 = permitted", frame.relay_permit),
    lineFamily("relay_readback", "Permit line as read back, 1 = permitted", frame.relay_readback ?? {}),
    alarmFamily(source),
    errorFamily(source.health),
    {
      name: "tach_rejected_edges",
      kind: "counter",
      help: "Tach edges rejected as noise",
      points: source.tally.rejectedEdges === null ? [] : [[{}, source.tally.rejectedEdges]],
    },
    {
      name: "cycle_duration_seconds",
      kind: "histogram",
      unit: "seconds",
      help: "From reading the first part to the relay being driven",
      ...source.tally.cycleDuration,
    },
    {
      name: "build",
      kind: "info",
      help: "What runs here",
      labels: {
        version: about.version,
        node: source.nodeVersion,
        feedpoint: about.name,
        simulated: String(about.simulated),
      },
    },
  ];
}

function quantityFamily({ quantities, headroom }: Frame, name: QuantityName): Family {
  const unit = UNIT.exec(name)?.[1];
  const told = quantities[name]?.value ?? null;
  const value = name === "headroom_seconds" && headroom.kind === "levels off" ? Number.POSITIVE_INFINITY : told;
  return {
    name,
    kind: "gauge",
    ...(unit === undefined ? {} : { unit }),
    help: HELP[name],
    points: value === null ? [] : [[{}, value]],
  };
}

function lineFamily(name: string, help: string, lines: Readonly<Record<string, boolean | null>>): Family {
  const known = Object.entries(lines).filter(([, permitted]) => permitted !== null);
  return { name, kind: "gauge", help, points: known.map(([line, permitted]) => [{ line }, permitted ? 1 : 0]) };
}

function alarmFamily({ alarmTags, frame }: MetricsSource): Family {
  const now = new Map(frame.alarms.map(({ tag, state }) => [tag, state]));
  return {
    name: "alarm_state",
    kind: "stateset",
    help: "State of each alarm of the list (IEC 62682)",
    states: Object.keys(STATES),
    points: alarmTags.map((tag) => [{ tag }, now.get(tag) ?? "normal"]),
  };
}

function errorFamily(health: HardwareHealth | null): Family {
  return {
    name: "sensor_errors",
    kind: "counter",
    help: "Failed readings by sensor and code, with the station transmitting and not",
    points: (health?.parts ?? []).flatMap(({ name: sensor, errors }) =>
      errors.flatMap(({ code, receiving, transmitting }): [Record<string, string>, number][] => [
        [{ sensor, code, transmitting: "false" }, receiving],
        [{ sensor, code, transmitting: "true" }, transmitting],
      ]),
    ),
  };
}
