// Limits and alarm setpoints. What is left out keeps the program's own default, so that each default stands in one place.

import * as z from "zod";
import { oneOf, quantity } from "./fields.ts";

const temperature = quantity("temperature", { low: 0, high: 400 }).optional();
const difference = quantity("temperatureDifference", { low: 0, high: 200 }).optional();
const share = quantity("ratio", { low: 0, high: 10 }).optional();
const duration = (low: number, high: number) => quantity("duration", { low, high }).optional();

export const limits = z
  .strictObject({
    /** Below 40 °C a hot day alone would take the power off. */
    core: quantity("temperature", { low: 40, high: 400 }).optional(),
    reduce: temperature,
    alarm: temperature,
    reset: temperature,
    inhibit_deadband: difference,
    outlet: temperature,
    outlet_reduce: temperature,
    witness_margin: difference,
    minimum_reduced: duration(0, 3600),
    estimate_grace: duration(0, 60),
    witness_grace: duration(1, 600),
    longest_bypass: duration(1, 4 * 3600),
  })
  .prefault({});

export const alarms = z
  .strictObject({
    longest_shelving: duration(60, 7 * 86_400),
    flow_factor: share,
    loss_factor: share,
    disagreement: difference,
    innovation: quantity("count", { low: 1, high: 100 }).optional(),
    condensation: difference,
    supply: share,
    stuck: duration(10, 86_400),
    swapped: duration(10, 86_400),
    upsets_per_minute: quantity("count", { low: 0, high: 1000 }).optional(),
    drive_ratio: quantity("count", { low: 1.1, high: 100 }).optional(),
    keying: duration(2, 600),
    disk_free: share,
    service_silent: duration(2, 600),
    cycle_late: duration(0.01, 10),
    rig_link: duration(1, 3600),
    proof_test_days: quantity("count", { low: 1, high: 3650 }).optional(),
    buzzer_from: oneOf("high", "medium", "low", "never").optional(),
  })
  .prefault({});
