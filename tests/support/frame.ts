// A frame of the wire with nothing special about it, for tests to change.

import type { Frame } from "../../daemon/wire/frame.ts";

/** Full power, everything well. */
export const PLAIN_FRAME: Frame = {
  at_seconds: 100,
  wall_seconds: 1_790_000_000,
  wall_trusted: true,
  quantities: {
    inlet_celsius: { value: 20, quality: "good", code: null },
    outlet_celsius: { value: 26, quality: "good", code: null },
    core_celsius: { value: 60, quality: "estimated", code: null },
  },
  headroom: { kind: "levels off", level_celsius: 71 },
  power_stage: "full",
  reasons: [],
  bypassed_until_seconds: null,
  relay_permit: { reduce: true, inhibit: true },
  relay_readback: { reduce: true, inhibit: true },
  fan: "turning",
  band: "40 m",
  mode: "CW",
  transmitting: false,
  calibration: "not calibrated",
  degraded: [],
  disagreement_kelvin: null,
  alarms: [],
  process_safety_seconds: 60,
  reaction_seconds: null,
  proof_test: { step: "idle", instruction: "", last_wall_seconds: null, due_wall_seconds: null },
};
