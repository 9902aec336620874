// Config → how the shack's rig is asked, what its meter means at the feedpoint, and how a detector's volts are read. It asks nobody.

import { BANDS, bandOf } from "../core/physics/bands.ts";
import { USUAL_SCALE } from "../station/detector.ts";
import type { DriveSettings } from "../station/drive.ts";
import type { Server } from "../station/rigctl/connection.ts";
import { nearest } from "./nearest.ts";
import type { ReadConfig } from "./parse.ts";
import { RequestError } from "./problem.ts";

/** Plain data for the service thread. */
export type RigSpec = {
  readonly server: Server;
  readonly fullWatts: number | null;
  /** Null = the rig's power is never touched. */
  readonly reduceToRatio: number | null;
};

/** Null where no rig is linked. */
export function rigOf({ config: { rig } }: ReadConfig): RigSpec | null {
  if (rig === undefined) return null;
  const { host, port, full_power, reduce_to } = rig;
  return { server: { host, port }, fullWatts: full_power ?? null, reduceToRatio: reduce_to ?? null };
}

/** @throws RequestError when a factor names a band that there is not */
export function driveSettings(read: ReadConfig): DriveSettings {
  const { drive } = read.config;
  const points = drive?.calibration?.map(([volts, watts]) => ({ volts, watts })) ?? USUAL_SCALE.forward;
  const reflected = drive?.reflected_calibration?.map(([volts, watts]) => ({ volts, watts })) ?? points;
  return {
    scale: { law: drive?.law ?? "diode", forward: points, reflected },
    keyedWatts: drive?.keyed ?? 0,
    factorAt: factorsOf(read),
  };
}

function factorsOf(read: ReadConfig): DriveSettings["factorAt"] {
  const { rig } = read.config;
  const factors = new Map(Object.entries(rig?.factors ?? {}));
  const names = BANDS.map(({ name }) => name);
  const problems = [...factors.keys()].flatMap((name) => {
    if (names.includes(name)) return [];
    const near = nearest(name, names);
    const expected = near === null ? `one of ${names.join(", ")}` : `a band; the nearest is "${near}"`;
    return [{ what: `rig.factors.${name}`, where: read.placeOf(["rig", "factors", name]), expected, got: `"${name}"` }];
  });
  if (problems.length > 0) throw new RequestError(problems);
  const general = rig?.factor ?? null;
  return (frequencyHertz) => {
    const band = frequencyHertz === null ? null : (bandOf(frequencyHertz)?.name ?? null);
    return (band === null ? undefined : factors.get(band)) ?? general;
  };
}
