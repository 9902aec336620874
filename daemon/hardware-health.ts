// What the Check view shows of the hardware, gathered from the open parts and the sweep's counters. It reads nothing anew
// and judges nothing.

import type { Hardware } from "../hardware/ports.ts";
import type { Sweep } from "./sweep.ts";
import type { HardwareHealth, PartHealth } from "./wire/check.ts";

export type HealthSource = {
  readonly hardware: Hardware;
  readonly sweep: Pick<Sweep, "errors" | "sweeps">;
  readonly uptimeSeconds: number;
  readonly residentBytes: number;
  readonly serviceRestarts: number;
};

/** Plain data for the crossing. */
export function hardwareHealth(source: HealthSource): HardwareHealth {
  const { hardware, sweep } = source;
  const part = (name: string, kind: string, place: string, role: string): PartHealth => ({
    name,
    part: kind,
    place,
    role,
    errors: sweep.errors
      .filter((count) => count.name === name)
      .map(({ code, receiving, transmitting }) => ({ code, receiving, transmitting })),
  });
  const { temperatures, tachometer, supply, drive, ptt, relay } = hardware;
  return {
    parts: [
      ...temperatures.map((sensor) => part(sensor.name, sensor.part, sensor.place, sensor.role)),
      ...(tachometer === null ? [] : [part(tachometer.name, tachometer.part, tachometer.place, "fan")]),
      ...(supply === null ? [] : [part(supply.name, supply.part, supply.place, "fan supply")]),
      ...(drive === null ? [] : [part(drive.name, drive.part, drive.place, "drive")]),
      ...(ptt === null ? [] : [part(ptt.name, ptt.part, ptt.place, "drive")]),
      ...(relay === null ? [] : [part("relay", "permit lines", relay.place, "relay")]),
    ],
    buses: hardware.buses().map(({ bus, transfers, retries, reopens, errors, stuck }) => ({
      bus,
      transfers,
      retries,
      reopens,
      errors: Object.values(errors).reduce((sum, count) => sum + count, 0),
      stuck,
    })),
    sweeps: sweep.sweeps,
    relay_place: relay?.place ?? null,
    uptime_seconds: Math.round(source.uptimeSeconds),
    resident_bytes: source.residentBytes,
    service_restarts: source.serviceRestarts,
  };
}
