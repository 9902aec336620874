// What a model file may hold: every key, its range, nothing besides. Shapes only; the file itself is read elsewhere.

import * as z from "zod";

const between = (low: number, high: number) =>
  z
    .number({ error: `a number from ${low} to ${high}` })
    .check(z.refine((value) => value >= low && value <= high, { error: `a number from ${low} to ${high}` }));
/** Nothing in a box is known better than to a thousandth, and three in the logarithm is a factor of twenty. */
const ratio = between(0, 3);
const constant = z.strictObject({ value: between(1e-6, 1e7), uncertainty_ratio: ratio });
const words = (longest: number) => z.string().min(1).max(longest);

/** Of the form of the file; there has been no other yet. */
export const MODEL_VERSION = 1;

export const modelSchema = z.strictObject({
  version: z.literal(MODEL_VERSION, { error: `${MODEL_VERSION}, the only version there is` }),
  calibration: z.enum(["calibrated", "not calibrated"], { error: '"calibrated" or "not calibrated"' }),
  origin: words(200),
  nominal_rpm: between(100, 60_000),
  pressure_pascals: between(40_000, 120_000),
  constants: z.strictObject({
    core_heat_capacity_joules_per_kelvin: constant,
    wall_heat_capacity_joules_per_kelvin: constant,
    core_to_air_watts_per_kelvin: constant,
    air_heat_flow_watts_per_kelvin: constant,
    air_to_wall_watts_per_kelvin: constant,
    wall_to_outside_watts_per_kelvin: constant,
    core_to_wall_watts_per_kelvin: constant,
    core_to_air_fan_off_watts_per_kelvin: constant,
    air_to_wall_fan_off_watts_per_kelvin: constant,
    air_heat_flow_fan_off_watts_per_kelvin: constant,
    outlet_lag_seconds: constant,
    outlet_lag_fan_off_seconds: constant,
  }),
  hot_spot: z.strictObject({ kelvin: between(0, 60), uncertainty_kelvin: between(0, 60) }),
  collapse: z.strictObject({ celsius: between(40, 600), width_kelvin: between(0.1, 100), gain: between(0, 100) }),
  rise_uncertainty_ratio: z.strictObject({ fan_on: between(0.001, 2), fan_off: between(0.001, 2) }),
  band: z
    .array(
      z.strictObject({
        band: words(20),
        low_hertz: between(1e4, 1e9),
        high_hertz: between(1e4, 1e9),
        loss_fraction: between(1e-6, 1),
        kappa: between(0.05, 20),
        kappa_uncertainty: ratio,
      }),
    )
    .min(1, { error: "at least one [[band]]" })
    .max(64, { error: "at most 64 bands" }),
});

export type ModelFile = z.output<typeof modelSchema>;
