// What may be asked of the log over the wire: the names of its series and the shape of a query.
// It knows neither the request's text nor where the answer comes from.

/** Wall seconds, how many points a series at most, and which series. */
export type HistoryQuery = {
  readonly fromSeconds: number;
  readonly toSeconds: number;
  readonly points: number;
  readonly series: readonly HistorySeries[];
};

/** Series that the log keeps as numbers; `power_stage` is 0 full, 1 reduced, 2 inhibited; `transmitting` is 0 or 1. */
export const HISTORY_SERIES = [
  "inlet_celsius",
  "outlet_celsius",
  "ambient_celsius",
  "wall_celsius",
  "humidity_ratio",
  "fan_rpm",
  "fan_volts",
  "fan_amperes",
  "drive_watts",
  "frequency_hertz",
  "transmitting",
  "core_celsius",
  "core_upper_celsius",
  "core_uncertainty_kelvin",
  "loss_watts",
  "airflow_cubic_meters_per_second",
  "flow_factor",
  "headroom_seconds",
  "sustainable_watts",
  "power_stage",
  "cycle_duration_seconds",
  "cycle_late_seconds",
] as const;
export type HistorySeries = (typeof HISTORY_SERIES)[number];

export const MOST_POINTS = 1_000;
