// Conditions of the alarms on the fan, its tachometer and its supply. The verdict comes from fan.ts.

import { beyond } from "../alarm.ts";
import { codeInWords } from "../code-meaning.ts";
import type { Condition, Scene } from "../scene.ts";

const offOnPurpose = ({ fanOffOnPurpose }: Scene): boolean => fanOffOnPurpose;

function speedWords({ readings, fan }: Scene): string {
  const rpm = readings.fan?.rpm.value ?? null;
  if (rpm === null) return "no speed can be read";
  const share = fan.speedRatio === null ? "" : `, ${(100 * fan.speedRatio).toFixed(0)} % of the speed expected`;
  return `${rpm.toFixed(0)} rpm${share}`;
}

export const FAN_CONDITIONS = {
  fan_stall: {
    holds: ({ fan }) => fan.verdict === "stalled",
    words: (scene) => {
      const { pulse } = scene.fan;
      if (scene.fan.verdict !== "stalled") return speedWords(scene);
      const supply = pulse.unpowered ? "; the fan has no supply" : "";
      if (pulse.quietSeconds === null) return `no pulses since the start${supply}`;
      return `no pulse for ${(scene.nowSeconds - pulse.quietSeconds).toFixed(1)} s${supply}`;
    },
    suppressed: offOnPurpose,
  },
  fan_slow: {
    // The deadband is in the verdict, which knows how well the expected speed is known.
    holds: ({ fan }) => fan.verdict === "slow",
    words: speedWords,
    suppressed: offOnPurpose,
  },
  fan_surging: {
    holds: ({ fan }) => fan.verdict === "surging",
    words: (scene) =>
      `${speedWords(scene)}; it swings by ${(100 * scene.fan.pulse.unsteadiness).toFixed(0)} % around its mean`,
    suppressed: offOnPurpose,
  },
  tach_doubtful: {
    holds: ({ fan, readings }) =>
      readings.fan === null ? null : fan.verdict === "doubtful" || fan.verdict === "unknown",
    words: (scene) => {
      const { fan, readings, settings } = scene;
      const code = readings.fan?.rpm.code ?? null;
      const said = code === null ? null : codeInWords(code, settings.codes);
      if (fan.verdict === "unknown") return `the tachometer cannot be read: ${said ?? "not fitted"}`;
      if (fan.verdict !== "doubtful") return speedWords(scene);
      if (fan.pulse.quietSeconds === null) return said ?? `pulses that are no fan's: ${speedWords(scene)}`;
      return "no pulses, but the supply current and the air say that the fan turns: the tach lead is lost";
    },
    suppressed: offOnPurpose,
  },
  fan_supply_low: {
    holds: ({ readings, settings }, alarm, held) => {
      const volts = readings.supplyVolts === null ? null : readings.supplyVolts.value;
      return volts === null || settings.fan === null ? null : beyond(alarm, volts / settings.fan.nominalVolts, held);
    },
    words: ({ readings, settings }) =>
      readings.supplyVolts?.value == null
        ? "the supply cannot be read"
        : `${readings.supplyVolts.value.toFixed(2)} V of ${settings.fan?.nominalVolts} V nominal`,
    suppressed: offOnPurpose,
  },
} as const satisfies Record<string, Condition>;
