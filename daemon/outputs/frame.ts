// One cycle's outlook as browsers see it: names of the vocabulary, numbers rounded to what they are worth.
// It renames and rounds; it decides nothing and keeps nothing.

import type { Outlook, PermitLines } from "../core/effects.ts";
import type { Headroom } from "../core/estimate/estimate.ts";
import type { Reading } from "../core/readings.ts";
import type { Frame, Quantity, QuantityName, WireHeadroom, WireProofTest } from "../wire/frame.ts";

/** What a frame is made of. */
export type FrameSource = {
  readonly wallSeconds: number;
  readonly wallTrusted: boolean;
  readonly outlook: Outlook;
  readonly permits: PermitLines;
  /** The band the drive's frequency lies in; null between bands or when it is not known. */
  readonly band: string | null;
};

/** Decimal places sent per unit: finer than the sensors, coarse enough that a still number stays the same text. */
const PLACES: Readonly<Record<string, number>> = {
  celsius: 2,
  kelvin: 2,
  rpm: 0,
  volts: 3,
  amperes: 3,
  second: 6,
  factor: 3,
  ratio: 3,
  watts: 2,
  seconds: 0,
};

function round(name: QuantityName, value: number): number {
  const unit = name.slice(name.lastIndexOf("_") + 1);
  const scale = 10 ** (PLACES[unit] ?? 3);
  return Math.round(value * scale) / scale;
}

function measured(name: QuantityName, reading: Reading): Quantity {
  const value = reading.value === null ? null : round(name, reading.value);
  return { value, quality: reading.quality, code: reading.code };
}

function estimated(name: QuantityName, value: number | null): Quantity {
  return {
    value: value === null || !Number.isFinite(value) ? null : round(name, value),
    quality: "estimated",
    code: null,
  };
}

function quantitiesOf({ readings, estimate, dewPointCelsius }: Outlook): Frame["quantities"] {
  const quantities: { [name in QuantityName]?: Quantity } = {};
  const put = (name: QuantityName, reading: Reading | null): void => {
    if (reading !== null) quantities[name] = measured(name, reading);
  };
  const believe = (name: QuantityName, value: number | null): void => {
    quantities[name] = estimated(name, value);
  };
  put("inlet_celsius", readings.inlet);
  put("outlet_celsius", readings.outlet);
  put("ambient_celsius", readings.ambient);
  put("fan_rpm", readings.fan?.rpm ?? null);
  put("fan_volts", readings.supplyVolts);
  put("fan_amperes", readings.supplyAmperes);
  put("humidity_ratio", readings.humidityRatio);
  put("drive_watts", readings.drive?.watts ?? null);
  believe("core_celsius", estimate.coreCelsius);
  believe("core_upper_celsius", estimate.coreUpperCelsius);
  believe("core_uncertainty_kelvin", estimate.coreUncertaintyKelvin);
  believe("loss_watts", estimate.lossWatts);
  believe("airflow_cubic_meters_per_second", estimate.airflowCubicMetersPerSecond);
  believe("flow_factor", estimate.flowFactor);
  believe("sustainable_watts", estimate.sustainableWatts);
  believe("headroom_seconds", secondsOf(estimate.headroom));
  if (readings.wall !== null) put("wall_celsius", readings.wall);
  else believe("wall_celsius", estimate.wallCelsius);
  if (dewPointCelsius !== null) believe("dew_point_celsius", dewPointCelsius);
  return quantities;
}

function secondsOf(headroom: Headroom): number | null {
  switch (headroom.kind) {
    case "reaches limit":
      return headroom.seconds;
    case "at limit":
      return 0;
    case "levels off":
    case "unknown":
      return null;
  }
}

function wireHeadroom(headroom: Headroom): WireHeadroom {
  switch (headroom.kind) {
    case "levels off":
      return { kind: "levels off", level_celsius: Math.round(headroom.levelCelsius * 10) / 10 };
    case "reaches limit":
      return { kind: "reaches limit", seconds: Math.round(headroom.seconds) };
    case "at limit":
    case "unknown":
      return { kind: headroom.kind };
  }
}

function wireProofTest({ step, instruction, lastWallSeconds, dueWallSeconds }: Outlook["proofTest"]): WireProofTest {
  return { step, instruction, last_wall_seconds: lastWallSeconds, due_wall_seconds: dueWallSeconds };
}

/** The frame of one completed cycle. */
export function frameOf({ outlook, permits, band, wallSeconds, wallTrusted }: FrameSource): Frame {
  const { readings, estimate } = outlook;
  return {
    at_seconds: outlook.atSeconds,
    wall_seconds: wallSeconds,
    wall_trusted: wallTrusted,
    quantities: quantitiesOf(outlook),
    headroom: wireHeadroom(estimate.headroom),
    power_stage: outlook.stage,
    reasons: outlook.reasons,
    bypassed_until_seconds: outlook.bypassedUntilSeconds,
    relay_permit: permits,
    relay_readback: readings.relay,
    fan: outlook.fan,
    band,
    mode: readings.drive?.mode ?? null,
    transmitting: readings.drive?.transmitting ?? null,
    calibration: estimate.calibration,
    degraded: estimate.degraded,
    disagreement_kelvin:
      estimate.disagreementKelvin === null ? null : Math.round(estimate.disagreementKelvin * 100) / 100,
    alarms: outlook.alarms.map((alarm) => ({
      tag: alarm.tag,
      state: alarm.state,
      priority: alarm.priority,
      text: alarm.text,
      since_seconds: alarm.sinceSeconds,
      until_seconds: alarm.untilSeconds,
    })),
    process_safety_seconds: outlook.processSafetySeconds === null ? null : Math.round(outlook.processSafetySeconds),
    reaction_seconds: outlook.reactionSeconds === null ? null : Math.round(outlook.reactionSeconds * 100) / 100,
    proof_test: wireProofTest(outlook.proofTest),
  };
}
