// Conditions of the alarms on the core, the vents and the estimate. They judge; what they look at is measured elsewhere.

import { beyond } from "../alarm.ts";
import { CAUSE, witnessReaches } from "../causes.ts";
import type { Condition } from "../scene.ts";

const celsius = (value: number): string => `${value.toFixed(1)} °C`;

const coreUpper: Condition = {
  holds: (scene, alarm, held) =>
    scene.estimate.usable || held ? beyond(alarm, scene.estimate.coreUpperCelsius, held) : null,
  words: ({ estimate }, alarm) =>
    `core ${celsius(estimate.coreCelsius)}, upper bound ${celsius(estimate.coreUpperCelsius)}; comes at ${alarm.setpoint?.value} °C`,
};

export const CORE_CONDITIONS = {
  core_upper_trip: coreUpper,
  // While the bound trips by itself, that alarm says it; one that stands stays until its own condition goes. The cause's deadband
  // is not the alarm's: it goes by the stage, whoever brought it down.
  core_measured_trip: {
    holds: ({ causes, witness, settings: { limits } }, alarm, held) =>
      witnessReaches(limits, witness, limits.limitCelsius - (held ? alarm.deadband : 0)) &&
      (held || (causes & CAUSE.boundAtLimit) === 0),
    words: ({ witness, settings }, alarm) => {
      const said = [
        ...(witness.probeCelsius === null ? [] : [`probe ${celsius(witness.probeCelsius)}`]),
        ...(witness.sumCelsius === null
          ? []
          : [
              `heat balance or drive ${celsius(witness.sumCelsius)} less a margin of ${settings.limits.witnessMarginKelvin} K`,
            ]),
      ];
      return `${said.join(", ") || "nothing measured speaks of the core now"}; comes at ${alarm.setpoint?.value} °C`;
    },
  },
  core_upper_high: coreUpper,
  outlet_high: {
    holds: ({ readings }, alarm, held) => {
      const outlet = readings.outlet === null ? null : readings.outlet.value;
      return outlet === null ? null : beyond(alarm, outlet, held);
    },
    words: ({ readings }, alarm) =>
      `outlet ${readings.outlet?.value == null ? "not readable" : celsius(readings.outlet.value)}; comes at ${alarm.setpoint?.value} °C`,
  },
  flow_factor_low: {
    // Believed only when it is known well enough to tell it from a clean box.
    holds: ({ estimate }, alarm, held) =>
      held || estimate.flowFactorUncertainty < 0.15 ? beyond(alarm, estimate.flowFactor, held) : null,
    words: ({ estimate }) =>
      `flow factor ${estimate.flowFactor.toFixed(2)} ± ${estimate.flowFactorUncertainty.toFixed(2)}, 1 is clean`,
  },
  loss_factor_high: {
    holds: ({ estimate }, alarm, held) =>
      estimate.lossFactor === null ? null : beyond(alarm, estimate.lossFactor, held),
    words: ({ estimate }) =>
      estimate.lossFactor === null
        ? "the loss against the table is not known now"
        : `${estimate.lossFactor.toFixed(2)} times the loss expected, ${estimate.lossWatts.toFixed(0)} W`,
  },
  estimate_disagreement: {
    holds: ({ estimate }, alarm, held) =>
      estimate.disagreementKelvin === null ? null : beyond(alarm, Math.abs(estimate.disagreementKelvin), held),
    words: ({ estimate }) =>
      estimate.disagreementKelvin === null
        ? "only one filter runs now"
        : `with the drive known the core is ${estimate.disagreementKelvin.toFixed(1)} K from what the air alone says`,
  },
  model_mismatch: {
    holds: ({ estimate }, alarm, held) =>
      estimate.innovationSquared === null ? null : beyond(alarm, estimate.innovationSquared, held),
    words: ({ estimate }) =>
      `squared surprise of the outlet ${estimate.innovationSquared?.toFixed(1) ?? "not known"}, about 1 when the model holds`,
  },
  estimate_unusable: {
    holds: ({ estimate }) => !estimate.usable,
    words: ({ estimate }) =>
      estimate.usable
        ? "the estimate is usable"
        : `no usable estimate: ${estimate.degraded.join(", ") || "no reason given"}`,
  },
  condensation: {
    holds: (scene, alarm, held) => {
      if (scene.dewPointCelsius === null) return null;
      const wall = scene.readings.wall?.value ?? scene.estimate.wallCelsius;
      return beyond(alarm, wall - scene.dewPointCelsius, held);
    },
    words: (scene) => {
      const wall = scene.readings.wall?.value ?? scene.estimate.wallCelsius;
      const dewPoint = scene.dewPointCelsius === null ? "not known" : celsius(scene.dewPointCelsius);
      return `wall ${celsius(wall)}, dew point ${dewPoint}`;
    },
  },
} as const satisfies Record<string, Condition>;
