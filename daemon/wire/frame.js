// The contract with browsers: what travels on the stream and in /api/v1/state. A leaf that imports nothing.
/** Identifiers of the vocabulary that travel as quantities. */
export const QUANTITY_NAMES = [
  "inlet_celsius",
  "outlet_celsius",
  "ambient_celsius",
  "wall_celsius",
  "core_celsius",
  "core_upper_celsius",
  "core_uncertainty_kelvin",
  "fan_rpm",
  "fan_volts",
  "fan_amperes",
  "airflow_cubic_meters_per_second",
  "flow_factor",
  "humidity_ratio",
  "dew_point_celsius",
  "drive_watts",
  "loss_watts",
  "headroom_seconds",
  "sustainable_watts",
];
