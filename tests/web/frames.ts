// Frames for the page's tests: one quiet, healthy feedpoint, changed field by field where a test needs it otherwise.

import type { About, Frame, Quantity } from "../../daemon/wire/frame.ts";
import { PLAIN_FRAME } from "../support/frame.ts";

export const good = (value: number): Quantity => ({ value, quality: "good", code: null });
export const estimated = (value: number | null): Quantity => ({ value, quality: "estimated", code: null });
export const bad = (code: string): Quantity => ({ value: null, quality: "bad", code });
export const suspect = (value: number, code: string): Quantity => ({ value, quality: "suspect", code });

export const ABOUT: About = {
  name: "Test post",
  simulated: true,
  speed: 1,
  version: "0.0.0",
  boot_id: "boot-a",
  limit_celsius: 110,
  reduce_celsius: 100,
  toroids: 3,
  fan_nominal_rpm: 3000,
};

/** A healthy frame with `changes` on top; quantities are merged by name. */
export function frameWith(changes: Partial<Frame> = {}): Frame {
  const { quantities, ...rest } = changes;
  return {
    ...PLAIN_FRAME,
    at_seconds: 5000,
    wall_seconds: 1_750_005_000,
    headroom: { kind: "levels off", level_celsius: 71.2 },
    transmitting: true,
    calibration: "calibrated",
    disagreement_kelvin: 0.4,
    process_safety_seconds: 300,
    ...rest,
    quantities: {
      inlet_celsius: good(18.4),
      outlet_celsius: good(26.2),
      core_celsius: estimated(64.3),
      core_upper_celsius: estimated(72.8),
      fan_rpm: good(2480),
      drive_watts: good(1180),
      sustainable_watts: estimated(1634),
      ...quantities,
    },
  };
}
