// The simulated transmitter in the shack: does what the operating pattern wants as far as the two permit lines let it.
// `reduce` released limits the power, `inhibit` released takes it away. It never looks at temperatures.

import type { Permits } from "../ports.ts";
import type { Keying, Mode, OperatingPattern } from "./pattern.ts";

/** What the shack would tell over its rig link. */
export type RigReading = {
  /** Average over the last second at the feedpoint's primary, W. */
  readonly watts: number;
  readonly frequencyHertz: number;
  readonly mode: Mode;
  readonly transmitting: boolean;
};

/** Steps of a tenth of a second that the average spans. */
const AVERAGED_STEPS = 10;

/** The transmitter and its operator. */
export class SimulatedRig {
  /** Highest power while `reduce` is released, W. */
  readonly reducedWatts: number;
  readonly #pattern: OperatingPattern;
  readonly #lately = new Float64Array(AVERAGED_STEPS);
  #at = 0;
  #keying: Keying;
  #watts = 0;

  constructor(pattern: OperatingPattern, options: { readonly reducedWatts: number; readonly startSeconds: number }) {
    if (!(options.reducedWatts >= 0)) throw new RangeError(`reduced power is 0 W or more, not ${options.reducedWatts}`);
    this.#pattern = pattern;
    this.reducedWatts = options.reducedWatts;
    this.#keying = pattern(options.startSeconds);
  }

  /** One step of a tenth of a second at `seconds` since midnight; returns the mean power of the step, W. */
  step(seconds: number, permits: Permits): number {
    const wanted = this.#pattern(seconds);
    const peak = permits.reduce ? wanted.peakWatts : Math.min(wanted.peakWatts, this.reducedWatts);
    this.#watts = permits.inhibit ? peak * wanted.share : 0;
    this.#keying = permits.inhibit ? wanted : { ...wanted, transmitting: false };
    this.#lately[this.#at] = this.#watts;
    this.#at = (this.#at + 1) % AVERAGED_STEPS;
    return this.#watts;
  }

  get transmitting(): boolean {
    return this.#keying.transmitting;
  }

  get frequencyHertz(): number {
    return this.#keying.frequencyHertz;
  }

  reading(): RigReading {
    let sum = 0;
    for (const watts of this.#lately) sum += watts;
    const { frequencyHertz, mode, transmitting } = this.#keying;
    return { watts: sum / AVERAGED_STEPS, frequencyHertz, mode, transmitting };
  }
}
