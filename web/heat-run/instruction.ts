// What the operator is to do now in a heat run, as one sentence. Pure.

import type { WireHeatRun } from "../../daemon/wire/heat-run.ts";
import { type Figures, joined } from "../figures.ts";
import { heatRun as words } from "../strings/heat-run.ts";
import { strings } from "../strings.ts";

const minutes = (seconds: number): string => String(Math.floor(seconds / 60));
const clock = (seconds: number): string =>
  `${Math.floor(seconds / 60)}:${String(Math.floor(seconds % 60)).padStart(2, "0")}`;

/** What to do now. */
export function instruction(run: WireHeatRun, figures: Figures): string {
  const watts = joined(figures.power(run.planned_watts));
  const [done, of] = [minutes(run.stage_seconds), minutes(run.target_seconds)];
  switch (run.stage) {
    case "idle":
      return words.idle;
    case "prepare":
      return run.stage_seconds < run.target_seconds ? words.prepare(done, of) : words.cooling;
    case "key-down": {
      if (run.halted !== null) return words.halted(figures.readable(run.halted));
      if (run.stage_seconds >= run.target_seconds) return words.unkeyNow;
      return run.transmitting ? words.keyDown(watts, done, of) : words.keyNow(watts);
    }
    case "fan-off":
      return fanOff(run, figures);
    case "cool-down":
      return readCore(run) ?? words.coolDown(done, of);
    case "fitting":
      return words.fitting;
    case "result":
      return words.result(
        run.result?.calibration === "calibrated" ? strings.footer.calibrated : strings.footer.notCalibrated,
      );
    case "refused":
      return words.refused;
    case "accepted":
      return words.accepted;
  }
}

/** The first reading right after unkeying is worth more than all others. */
const readCore = ({ unkeyed_seconds, spots }: WireHeatRun): string | null =>
  unkeyed_seconds !== null && spots.length === 0 ? words.readCore(clock(unkeyed_seconds)) : null;

function fanOff(run: WireHeatRun, figures: Figures): string {
  if (run.fan_must_turn) {
    return run.halted === null ? words.fanOnNow : words.fanOnHalted(figures.readable(run.halted));
  }
  if (!run.fan_turning) return words.fanOff(minutes(run.stage_seconds), minutes(run.target_seconds));
  const bound = joined(figures.temperature(run.fan_off_celsius, 0));
  return readCore(run) ?? (run.fan_may_stop ? words.fanOffNow : words.fanOffWait(bound));
}
