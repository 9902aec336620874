// The simulated feedpoint as a whole: weather, operator, rig, fan, vents, supply and the truth plant, moved on together
// whenever somebody looks. It moves in whole ticks, so that who looks and when changes nothing. It has no sensors.

import type { Permits } from "../ports.ts";
import { bandAt } from "./bands.ts";
import { type FanMake, SimulatedFan } from "./fan.ts";
import type { FaultScript } from "./faults.ts";
import type { OperatingPattern } from "./pattern.ts";
import {
  advancePlant,
  beginPlant,
  hottestToroidCelsius,
  meanCoreCelsius,
  type PlantInput,
  type PlantParameters,
  type PlantState,
  sensedOutletCelsius,
  wallCelsius,
} from "./plant.ts";
import type { Random } from "./random.ts";
import { type RigReading, SimulatedRig } from "./rig.ts";
import { type Climate, weatherAt } from "./weather.ts";

/** What the simulated feedpoint is made of and begins with. */
export type FeedpointOptions = {
  readonly plant: PlantParameters;
  readonly climate: Climate;
  readonly pattern: OperatingPattern;
  readonly fan: FanMake;
  /** Heat over drive at 25 °C for a frequency, from the transformer's table; the plant's own band factor comes on top. */
  readonly lossFractionAt: (frequencyHertz: number) => number;
  /** Supply at the box, V. */
  readonly supplyVolts: number;
  /** Power while `reduce` is released, W. */
  readonly reducedWatts: number;
  /** Seconds since midnight at which the simulation begins. */
  readonly startOfDaySeconds: number;
  /** How long the box has been in use before, s: it never begins cold. */
  readonly prerollSeconds: number;
  /** The permit lines as the rig sees them now. */
  readonly permits: () => Permits;
  readonly random: Random;
  readonly faults: FaultScript;
  /** The board's monotonic time; the simulation begins at its value now. */
  readonly now: () => number;
};

/** The truth at a moment; `atSeconds` counts from the beginning. */
export type Truth = {
  readonly atSeconds: number;
  readonly inletCelsius: number;
  readonly ambientCelsius: number;
  readonly humidityRatio: number;
  readonly outletCelsius: number;
  readonly wallCelsius: number;
  readonly meanCoreCelsius: number;
  readonly hottestToroidCelsius: number;
  readonly lossWatts: number;
  readonly flowFactor: number;
  readonly fanRpm: number;
  readonly supplyVolts: number;
  readonly supplyAmperes: number;
};

const TICK_SECONDS = 0.02;
/** The plant and the rig move every fifth tick. */
const TICKS_PER_STEP = 5;
const STEP_SECONDS = TICK_SECONDS * TICKS_PER_STEP;
/** When nobody looked for longer than this (a suspended laptop), the gap is made up in coarse steps and without edges. */
const LONGEST_FINE_SECONDS = 600;

/** Moves everything on and says what is true. */
export class SimulatedFeedpoint {
  readonly rig: SimulatedRig;
  readonly fan: SimulatedFan;
  readonly #options: FeedpointOptions;
  readonly #plant: PlantState;
  readonly #input: PlantInput;
  readonly #originSeconds: number;
  readonly #listeners = new Set<(edges: readonly number[]) => void>();
  #ticks = 0;
  #humidityRatio = 0;
  #flowFactor = 1;
  #fanIsCut = false;

  constructor(options: FeedpointOptions) {
    this.#options = options;
    this.#originSeconds = options.now();
    this.rig = new SimulatedRig(options.pattern, {
      reducedWatts: options.reducedWatts,
      startSeconds: options.startOfDaySeconds,
    });
    this.fan = new SimulatedFan(options.fan, options.faults, options.random.fork("fan"));
    const begin = weatherAt(options.climate, options.startOfDaySeconds - options.prerollSeconds);
    this.#plant = beginPlant(options.plant, begin.airCelsius);
    this.#input = {
      dtSeconds: 1,
      driveWatts: 0,
      lossFraction: 0,
      fanRatio: 1,
      flowFactor: 1,
      inletCelsius: begin.airCelsius,
      ambientCelsius: begin.airCelsius,
      sunWatts: 0,
    };
    this.#preroll();
  }

  /** Seconds since the beginning. */
  elapsedSeconds(): number {
    return this.#options.now() - this.#originSeconds;
  }

  /** Hears the times (the board's monotonic seconds) of falling edges on the tach line, in batches. */
  onEdges(listener: (edges: readonly number[]) => void): () => void {
    this.advance();
    this.#listeners.add(listener);
    return () => {
      this.#listeners.delete(listener);
    };
  }

  /** Brings everything up to the board's time. */
  advance(): void {
    const due = Math.floor(this.elapsedSeconds() / TICK_SECONDS + 1e-6);
    const gapSeconds = (due - this.#ticks) * TICK_SECONDS;
    if (gapSeconds > LONGEST_FINE_SECONDS) this.#rush(due - LONGEST_FINE_SECONDS / TICK_SECONDS);
    const edges: number[] | null = this.#listeners.size > 0 ? [] : null;
    while (this.#ticks < due) this.#tick(edges);
    if (edges !== null && edges.length > 0) for (const listener of [...this.#listeners]) listener(edges);
  }

  /** The truth now. */
  truth(): Truth {
    this.advance();
    const { plant } = this.#options;
    return {
      atSeconds: this.#ticks * TICK_SECONDS,
      inletCelsius: this.#input.inletCelsius,
      ambientCelsius: this.#input.ambientCelsius,
      humidityRatio: this.#humidityRatio,
      outletCelsius: sensedOutletCelsius(this.#plant),
      wallCelsius: wallCelsius(plant, this.#plant),
      meanCoreCelsius: meanCoreCelsius(plant, this.#plant),
      hottestToroidCelsius: hottestToroidCelsius(plant, this.#plant),
      lossWatts: this.#plant.flows.lossWatts,
      flowFactor: this.#flowFactor,
      fanRpm: this.fan.rpm,
      supplyVolts: this.fan.volts,
      supplyAmperes: this.fan.amperes,
    };
  }

  /** The switch in the fan's supply, as it stands from now on. */
  cutFan(cut: boolean): void {
    this.#fanIsCut = cut;
  }

  /** What the shack tells of itself now. */
  station(): RigReading {
    this.advance();
    return this.rig.reading();
  }

  #tick(edges: number[] | null): void {
    if (this.#ticks % TICKS_PER_STEP === 0)
      this.#step(this.#ticks * TICK_SECONDS, STEP_SECONDS, this.#options.permits());
    const at = this.#originSeconds + this.#ticks * TICK_SECONDS;
    this.fan.advance(at, TICK_SECONDS, this.#supplyVolts(), this.#flowFactor, edges);
    this.#ticks += 1;
  }

  /** Weather, rig and plant over `dtSeconds` from `atSeconds` since the beginning. */
  #step(atSeconds: number, dtSeconds: number, permits: Permits): void {
    const { plant, climate, lossFractionAt, faults, startOfDaySeconds } = this.#options;
    const ofDay = startOfDaySeconds + atSeconds;
    const weather = weatherAt(climate, ofDay);
    this.#humidityRatio = weather.humidityRatio;
    this.#flowFactor = this.#vents(atSeconds);
    const input = this.#input;
    input.dtSeconds = dtSeconds;
    input.driveWatts = this.rig.step(ofDay, permits);
    const band = bandAt(this.rig.frequencyHertz);
    const factor = band === null ? 1 : (plant.bandLossFactors[band] ?? 1);
    const wet = faults.find("wet core");
    input.lossFraction =
      input.driveWatts > 0 ? lossFractionAt(this.rig.frequencyHertz) * factor * (wet?.lossFactor ?? 1) : 0;
    input.fanRatio = this.fan.ratio;
    input.flowFactor = this.#flowFactor;
    input.inletCelsius = weather.airCelsius;
    input.ambientCelsius = weather.airCelsius;
    input.sunWatts = weather.sunWatts;
    advancePlant(plant, this.#plant, input);
  }

  #vents(atSeconds: number): number {
    const clogged = this.#options.faults.find("vents clogged");
    if (clogged === null) return 1;
    const share = clogged.rampSeconds > 0 ? Math.min(1, (atSeconds - clogged.startSeconds) / clogged.rampSeconds) : 1;
    return 1 + (clogged.flowFactor - 1) * Math.max(0, share);
  }

  #supplyVolts(): number {
    if (this.#fanIsCut) return 0;
    return this.#options.faults.find("supply sag")?.volts ?? this.#options.supplyVolts;
  }

  /** The hours before the daemon was started: full permits, fan running. */
  #preroll(): void {
    const permitted = { reduce: true, inhibit: true };
    const { prerollSeconds } = this.#options;
    // Coarse over most of it, then as fine as the rest, so that the rig's one-second average is right from the first look.
    for (let at = -prerollSeconds; at < -60; at += 1) this.#step(at, 1, permitted);
    for (let step = Math.min(60, prerollSeconds) * 10; step > 0; step -= 1)
      this.#step(-step * STEP_SECONDS, STEP_SECONDS, permitted);
  }

  #rush(untilTick: number): void {
    const perSecond = 1 / TICK_SECONDS;
    const stepSeconds = Math.max(1, Math.ceil(((untilTick - this.#ticks) * TICK_SECONDS) / 50_000));
    while (this.#ticks + stepSeconds * perSecond <= untilTick) {
      this.#step(this.#ticks * TICK_SECONDS, stepSeconds, this.#options.permits());
      this.#ticks += stepSeconds * perSecond;
    }
    this.#ticks -= this.#ticks % TICKS_PER_STEP;
  }
}
