// A three-wire fan: speed after supply voltage and faults, current, and the falling edges of its tach line, two a revolution.
// Its edges carry their own times; it never knows who listens.

import type { FaultScript } from "./faults.ts";
import type { Random } from "./random.ts";

/** What is written on the fan, and how it behaves. */
export type FanMake = {
  readonly nominalRpm: number;
  readonly nominalVolts: number;
  /** Supply current at nominal speed, and with the rotor held, A. */
  readonly runningAmperes: number;
  readonly stalledAmperes: number;
};

/** Spinning up takes about a second; a jammed rotor stops at once; without supply it coasts. */
const SPIN_UP_SECONDS = 1.1;
const JAM_SECONDS = 0.05;
const COAST_SECONDS = 1.5;
/** A driver that locked itself out forgets it after so long without supply. */
const UNLOCK_SECONDS = 1;
/** Below this part of the nominal voltage the commutation electronics do not start. */
const LOWEST_START = 0.35;
/** Back pressure of closed vents lets an axial fan run faster. */
const UNLOADED_GAIN = 0.08;
/** One of the two pulses comes late by this part of an interval, as the poles are never spaced evenly; and random jitter. */
const POLE_ERROR = 0.02;
const JITTER = 0.003;
/** The most edges handed out for one step; a kernel drops edges too. */
const MOST_EDGES = 2000;

/** The fan at work. */
export class SimulatedFan {
  readonly make: FanMake;
  readonly #faults: FaultScript;
  readonly #gusts: Random;
  readonly #jitter: Random;
  #rpm: number;
  #volts: number;
  #sinceEdgeShare = 0;
  #late = false;
  #wander = 0;
  /** Since when the supply is off; null while it is on. */
  #offSeconds: number | null = null;
  /** The lockout that the last stretch without supply has ended. */
  #freed: object | null = null;

  /** Begins at its running speed. */
  constructor(make: FanMake, faults: FaultScript, random: Random) {
    this.make = make;
    this.#faults = faults;
    this.#gusts = random.fork("gusts");
    this.#jitter = random.fork("jitter");
    this.#rpm = make.nominalRpm;
    this.#volts = make.nominalVolts;
  }

  get rpm(): number {
    return this.#rpm;
  }

  get volts(): number {
    return this.#volts;
  }

  /** Speed over nominal. */
  get ratio(): number {
    return this.#rpm / this.make.nominalRpm;
  }

  /** Level of the tach line as the rotor stands: low after each falling edge for half an interval. */
  get tachLevel(): 0 | 1 {
    if (this.#rpm === 0 || this.#faults.find("tach lead lost") !== null) return 1;
    return this.#sinceEdgeShare < 0.5 ? 0 : 1;
  }

  get amperes(): number {
    if (this.#volts < LOWEST_START * this.make.nominalVolts) return 0;
    const ratio = this.ratio;
    if (ratio < 0.05) return this.make.stalledAmperes;
    // Electronics take a share that does not depend on speed; the air takes the rest as the square of it.
    return this.make.runningAmperes * (0.3 + 0.7 * ratio * ratio);
  }

  /**
   * Moves on from `fromSeconds` by `dtSeconds` (of the board's monotonic time) with the vents at `flowFactor`;
   * the times of the falling edges on the tach line are appended to `edges`.
   */
  advance(
    fromSeconds: number,
    dtSeconds: number,
    supplyVolts: number,
    flowFactor: number,
    edges: number[] | null,
  ): void {
    this.#volts = supplyVolts;
    const powered = supplyVolts >= LOWEST_START * this.make.nominalVolts;
    const jammed = this.#faults.find("fan stall") !== null || this.#isLockedOut(fromSeconds, powered);
    const before = this.#rpm;
    const target = jammed || !powered ? 0 : this.#targetRpm(fromSeconds, dtSeconds, flowFactor);
    const slowStart = this.#faults.find("fan slow start");
    const lagSeconds = jammed
      ? JAM_SECONDS
      : !powered
        ? COAST_SECONDS
        : (slowStart?.timeConstantSeconds ?? SPIN_UP_SECONDS);
    // A slow start is slow only on the way up.
    const lag = target < before && slowStart !== null && powered && !jammed ? SPIN_UP_SECONDS : lagSeconds;
    this.#rpm = target + (before - target) * Math.exp(-dtSeconds / lag);
    if (target === 0 && this.#rpm < 0.02 * this.make.nominalRpm) this.#rpm = 0;
    if (edges !== null) this.#pulse(fromSeconds, dtSeconds, before, edges);
    else if (this.#rpm > 0) this.#sinceEdgeShare = (this.#sinceEdgeShare + (dtSeconds * (before + this.#rpm)) / 60) % 1;
  }

  /** Locked out until the supply was off for long enough, once per fault. */
  #isLockedOut(atSeconds: number, powered: boolean): boolean {
    const lockout = this.#faults.find("fan lockout");
    this.#offSeconds = powered ? null : (this.#offSeconds ?? atSeconds);
    if (this.#offSeconds !== null && atSeconds - this.#offSeconds >= UNLOCK_SECONDS) this.#freed = lockout;
    return lockout !== null && lockout !== this.#freed;
  }

  #targetRpm(fromSeconds: number, dtSeconds: number, flowFactor: number): number {
    // Bearings and gusts: a slow wander of about half a per cent.
    this.#wander += (-this.#wander * dtSeconds) / 5 + 0.004 * Math.sqrt((2 * dtSeconds) / 5) * this.#gusts.normal();
    let rpm = this.make.nominalRpm * (this.#volts / this.make.nominalVolts) * (1 + this.#wander);
    rpm *= 1 + UNLOADED_GAIN * (1 - flowFactor);
    const slow = this.#faults.find("fan slow");
    if (slow !== null) rpm *= slow.speedRatio;
    const surging = this.#faults.find("fan surging");
    if (surging !== null) rpm *= 1 + surging.depth * Math.sin((2 * Math.PI * fromSeconds) / surging.periodSeconds);
    return Math.max(0, rpm);
  }

  #pulse(fromSeconds: number, dtSeconds: number, before: number, edges: number[]): void {
    const first = edges.length;
    const lost = this.#faults.find("tach lead lost") !== null;
    const mean = 0.5 * (before + this.#rpm);
    if (mean > 0 && this.#rpm > 0) {
      const interval = 30 / mean;
      const until = fromSeconds + dtSeconds;
      let at = fromSeconds + (1 - this.#sinceEdgeShare) * interval;
      let last = fromSeconds - this.#sinceEdgeShare * interval;
      while (at <= until && edges.length - first < MOST_EDGES) {
        this.#late = !this.#late;
        const shown = at + interval * ((this.#late ? POLE_ERROR : 0) + JITTER * (this.#jitter.unit() - 0.5));
        if (!lost) edges.push(shown);
        last = at;
        at += interval;
      }
      this.#sinceEdgeShare = Math.min(1, (until - last) / interval);
    }
    const noise = this.#faults.find("tach noise");
    if (noise !== null && noise.edgesPerSecond > 0) {
      let at = fromSeconds - Math.log(1 - this.#jitter.unit()) / noise.edgesPerSecond;
      while (at <= fromSeconds + dtSeconds && edges.length - first < MOST_EDGES) {
        edges.push(at);
        at -= Math.log(1 - this.#jitter.unit()) / noise.edgesPerSecond;
      }
      edges.push(...edges.splice(first).sort((one, other) => one - other));
    }
  }
}
