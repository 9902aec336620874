// A row of a recording as the fit of a heat run takes it.

import type { HeatRunSample } from "../core/estimate/recording.ts";
import type { RecordedRow } from "./recording.ts";

/** A column that is not there is a reading that is missing. */
export function heatRunSample(row: RecordedRow): HeatRunSample {
  return {
    timeSeconds: row.time_seconds,
    inletCelsius: row.inlet_celsius ?? null,
    outletCelsius: row.outlet_celsius ?? null,
    wallCelsius: row.wall_celsius ?? null,
    spotCoreCelsius: row.spot_core_celsius ?? null,
    fanRpm: row.fan_rpm ?? null,
    driveWatts: row.drive_watts ?? null,
    frequencyHertz: row.frequency_hertz ?? null,
  };
}
