// The second part of a cycle: fan, core and air as they are believed to be, from what was observed. It decides nothing.

import type { Estimate } from "../estimate/estimate.ts";
import {
  advanceEstimator,
  beginEstimator,
  type EstimatorInput,
  type EstimatorState,
  type Resumption,
  reportEstimate,
} from "../estimate/estimator.ts";
import { forgetOutlet } from "../estimate/forget-outlet.ts";
import { isPossible } from "../estimate/possible.ts";
import { dewPointCelsius } from "../physics/dew-point.ts";
import { good, type Readings } from "../readings.ts";
import { isColderThanAir } from "./core-check.ts";
import { advanceFan, type FanHealth, replaceFan, turnsFor } from "./fan.ts";
import { type ForwardRun, runForward } from "./forward-run.ts";
import type { Observation } from "./observation.ts";
import type { Program } from "./program.ts";
import type { Requested } from "./request.ts";
import type { State } from "./state.ts";
import { areSwapped, gatherSwapEvidence } from "./swapped.ts";
import { hearWitness, type Witness } from "./witness.ts";

export type Belief = {
  /** What the filters had, an operator's core reading included. */
  readonly readings: Readings;
  readonly fan: FanHealth;
  readonly swapEvidenceSeconds: number;
  /** Inlet and outlet are taken for exchanged; the next cycle's readings go without them. */
  readonly swapped: boolean;
  readonly estimator: EstimatorState;
  readonly estimate: Estimate;
  /** The filters held numbers that no box can have, and were begun anew in this cycle. */
  readonly lost: boolean;
  readonly blind: boolean;
  /** When an estimate was usable last; null = never. */
  readonly usableSeconds: number | null;
  readonly run: ForwardRun | null;
  readonly witness: Witness;
  readonly witnessBadSeconds: number | null;
  readonly dewPointCelsius: number | null;
  readonly dewPointSeconds: number;
};

/** The dew point moves slowly and is dear to work out. */
const DEW_POINT_SECONDS = 10;

function resumptionOf(state: State, wallSeconds: number | null): Resumption | null {
  if (state.resumption === null) return null;
  const then = state.resumption.wallSeconds;
  const ageSeconds = then === null || wallSeconds === null || wallSeconds < then ? null : wallSeconds - then;
  return { checkpoint: state.resumption.checkpoint, ageSeconds };
}

/** The speed the filters may have: none while nobody believes it. */
function fanInput(readings: Readings, fan: FanHealth, watched: boolean): EstimatorInput["fan"] {
  const rpm = readings.fan === null ? null : readings.fan.rpm.value;
  const turning = turnsFor(fan.verdict);
  if (!watched) return { rpm, turning: null };
  if (turning === false) return { rpm: 0, turning };
  return { rpm: turning === true || fan.verdict === "starting" ? rpm : null, turning };
}

/** What a standing outlet taught the filters is taken back once it is found out, where the drive says what the core did meanwhile. */
function withoutLies(
  { sound, run }: State,
  { outletFoundStuck }: Observation,
  estimator: EstimatorState,
): EstimatorState {
  return outletFoundStuck && sound !== null && run !== null
    ? forgetOutlet(estimator, sound, run.coreCelsius)
    : estimator;
}

/** A thermometer that goes on lying must not keep the filters from ever settling, s. */
const LOST_AGAIN_SECONDS = 120;

type Followed = { readonly estimator: EstimatorState; readonly estimate: Estimate; readonly lost: boolean };

/** The filters with these readings; begun anew while they began blind and have not become usable, and from numbers that no box can have. */
function followCore(
  program: Program,
  state: State,
  readings: Readings,
  fan: FanHealth,
  seen: Observation,
  nowSeconds: number,
): Followed {
  const { model, limits } = program;
  const outletThere = readings.outlet !== null && readings.outlet.value !== null;
  const begins = state.estimator === null || (state.blind && state.usableSeconds === null && outletThere);
  const input: EstimatorInput = {
    atSeconds: nowSeconds,
    dtSeconds: begins ? 0 : nowSeconds - state.atSeconds,
    inlet: readings.inlet,
    outlet: readings.outlet,
    wall: readings.wall,
    ambient: readings.ambient,
    core: readings.core,
    fan: fanInput(readings, fan, program.fan !== null),
    drive: readings.drive,
  };
  const begin = (first: EstimatorInput, resumption: Resumption | null): EstimatorState =>
    advanceEstimator(model, beginEstimator(model, first, resumption), first);
  const estimator =
    begins || state.estimator === null
      ? begin(input, resumptionOf(state, seen.wallSeconds))
      : advanceEstimator(model, withoutLies(state, seen, state.estimator), input);
  const estimate = reportEstimate(model, estimator, limits);
  const { lostSeconds } = state;
  const borne = lostSeconds !== null && nowSeconds - lostSeconds < LOST_AGAIN_SECONDS;
  if (Number.isFinite(estimate.coreUpperCelsius) && (borne || isPossible(estimator))) {
    return { estimator, estimate: unlessColder(estimate, readings), lost: false };
  }
  // Not a number stays not a number for ever, and a box that cannot be stays one: better a wide estimate from the outlet.
  const again = begin({ ...input, dtSeconds: 0 }, null);
  return { estimator: again, estimate: reportEstimate(model, again, limits), lost: true };
}

/** Of thermometers that put the core below all of its air nobody knows what they measure: nothing may rest on it. */
function unlessColder(estimate: Estimate, readings: Readings): Estimate {
  if (!isColderThanAir(readings, estimate.coreUpperCelsius)) return estimate;
  return { ...estimate, usable: false, degraded: [...estimate.degraded, "colder than its air"] };
}

function dewPoint(readings: Readings): number | null {
  const air = readings.inlet?.value ?? readings.ambient?.value ?? null;
  const humidity = readings.humidityRatio?.value ?? null;
  // Air colder, hotter or drier than this wets nothing that a sensor could tell.
  if (air === null || humidity === null || air < -40 || air > 90 || humidity < 0.02) return null;
  return dewPointCelsius(air, Math.min(humidity, 1));
}

/** What is believed after this cycle's observation and the requests that change fan or estimate. */
export function believe(
  program: Program,
  state: State,
  seen: Observation,
  asked: Requested,
  nowSeconds: number,
): Belief {
  const { measured } = seen;
  let fan = asked.fanReplaced ? replaceFan(state.fan) : state.fan;
  if (program.fan !== null) {
    fan = advanceFan(program.fan, fan, measured, asked.fanOffUntilSeconds !== null, nowSeconds);
  }
  const turning = turnsFor(fan.verdict);
  const elapsed = nowSeconds - state.atSeconds;
  // A fan that nobody watches is taken to turn here as well, or nothing would ever tell.
  const blows = program.fan === null ? true : turning;
  const swapEvidenceSeconds = gatherSwapEvidence(state.swapEvidenceSeconds, measured, blows, elapsed);
  const swapped = areSwapped(state.swapped, swapEvidenceSeconds, program.alarms.swappedSeconds);
  const readings = asked.spotCelsius === null ? seen.believed : { ...seen.believed, core: good(asked.spotCelsius) };
  const { estimator, estimate, lost } = followCore(program, state, readings, fan, seen, nowSeconds);
  const usable = estimate.usable && Number.isFinite(estimate.coreUpperCelsius);
  const usableSeconds = usable ? nowSeconds : state.usableSeconds;
  const { model, box } = program;
  const run = runForward(model, box, state.run, readings, turning, state.coreCelsius, elapsed, nowSeconds);
  const witness = hearWitness(model, readings, turning, swapped, run === null ? null : run.coreCelsius);
  const dewDue = nowSeconds - state.dewPointSeconds >= DEW_POINT_SECONDS;
  const outletThere = readings.outlet !== null && readings.outlet.value !== null;
  return {
    readings,
    fan,
    swapEvidenceSeconds,
    swapped,
    estimator,
    estimate,
    lost,
    blind: usableSeconds === null && !outletThere && (state.estimator === null || state.blind),
    usableSeconds,
    run,
    witness,
    witnessBadSeconds: witness.bad ? (state.witnessBadSeconds ?? nowSeconds) : null,
    dewPointCelsius: dewDue ? dewPoint(measured) : state.dewPointCelsius,
    dewPointSeconds: dewDue ? nowSeconds : state.dewPointSeconds,
  };
}
