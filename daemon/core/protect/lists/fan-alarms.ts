// The rationalised list, second part: the fan, its tachometer and its supply. Data only.

import type { AlarmDefinition } from "../alarm.ts";
import type { ProtectionSettings } from "../settings.ts";

/** Alarms of the fan. */
export function fanAlarms(settings: ProtectionSettings) {
  return [
    {
      tag: "fan_stall",
      priority: "high",
      setpoint: null,
      deadband: 0,
      // The delay is the fan's own: a quiet line for `fan.stallSeconds`.
      onDelaySeconds: 0,
      offDelaySeconds: 3,
      latch: false,
      cause: "A seized bearing, something in the blades, ice, no supply, or a broken lead",
      consequence: "The core has only natural convection left: the power is reduced at once",
      response:
        "Lower the drive or stop. Check the fan's supply; free or replace the fan with the transmitter off and locked",
      respondWithinSeconds: 30,
    },
    {
      tag: "fan_slow",
      priority: "medium",
      setpoint: { value: settings.fan?.slowRatio ?? 1, unit: "of the expected speed", sense: "at or below" },
      deadband: 0.03,
      onDelaySeconds: 30,
      offDelaySeconds: 60,
      latch: false,
      cause: "A worn or dirty bearing, blades fouled, cold grease, or another fan than the one learned",
      consequence: "Less air, and a fan near the end of its life",
      response: "Plan a replacement; keep an eye on the headroom until then",
      respondWithinSeconds: 86_400,
    },
    {
      tag: "fan_surging",
      priority: "medium",
      setpoint: null,
      deadband: 0,
      onDelaySeconds: 20,
      offDelaySeconds: 60,
      latch: false,
      cause: "A failing bearing or driver, a loose supply contact, or gusts into the outlet",
      consequence: "The fan may stop without more warning",
      response: "Check connectors and outlet; replace the fan if it goes on",
      respondWithinSeconds: 3600,
    },
    {
      tag: "tach_doubtful",
      priority: "medium",
      setpoint: null,
      deadband: 0,
      onDelaySeconds: 5,
      offDelaySeconds: 30,
      latch: false,
      cause: "A broken tach lead, a missing pull-up, or RF that the lead picks up",
      consequence: "Nobody can tell whether the fan turns: after a grace the power is reduced",
      response: "Check the tach lead, its pull-up to 3.3 V and its ferrite bead; listen whether the fan runs",
      respondWithinSeconds: 600,
    },
    {
      tag: "fan_supply_low",
      priority: "medium",
      setpoint: { value: settings.alarms.supplyRatio, unit: "of the nominal supply", sense: "at or below" },
      deadband: 0.03,
      onDelaySeconds: 5,
      offDelaySeconds: 30,
      latch: false,
      cause: "A drop along the cable, a corroded contact, a weak supply or a flat battery",
      consequence: "The fan slows, and stops below its starting voltage",
      response: "Measure the supply at both ends of the cable; clean or renew the contacts",
      respondWithinSeconds: 3600,
    },
  ] as const satisfies readonly AlarmDefinition[];
}
