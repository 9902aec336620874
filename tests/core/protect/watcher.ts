// A fan watched over a run of cycles, and the moments that the fan tests share. It checks nothing.

import { advanceFan, beginFan, type FanHealth } from "../../../daemon/core/protect/fan.ts";
import { type FanReading, good, type Readings } from "../../../daemon/core/readings.ts";
import { FAN, READINGS, SETTINGS } from "./fixtures.ts";

/** The fan of the default settings. */
export const { fan: settings } = SETTINGS;

/** What differs from a fan that turns in a quiet box. */
export type Moment = Partial<Omit<Readings, "fan">> & {
  readonly fan?: Partial<FanReading> | null;
  readonly off?: boolean;
};

/** A fan over a run of cycles. */
export class Watcher {
  health: FanHealth = beginFan(0, null);
  now = 0;

  at(seconds: number, moment: Moment = {}): FanHealth {
    this.now = seconds;
    const { fan, off, ...rest } = moment;
    const readings: Readings = { ...READINGS, ...rest, fan: fan === null ? null : { ...FAN, ...fan } };
    this.health = advanceFan(settings, this.health, readings, off ?? false, seconds);
    return this.health;
  }

  /** One cycle a second for so long. */
  for(seconds: number, moment: (second: number) => Moment = () => ({})): FanHealth {
    const until = this.now + seconds;
    while (this.now < until) this.at(this.now + 1, moment(this.now + 1));
    return this.health;
  }
}

/** A fan that has turned for so long. */
export const turned = (seconds = 60): Watcher => {
  const watcher = new Watcher();
  watcher.for(seconds);
  return watcher;
};
/** A silent line. */
export const quiet = (secondsSinceEdge: number): Moment => ({
  fan: { rpm: good(0), regularity: null, secondsSinceEdge },
});
/** Scatter of `depth`, the same every time. */
export const noise = (second: number, depth: number): number => depth * Math.sin(second * 12.9898);
