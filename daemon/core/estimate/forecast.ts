// An operating plan and an hourly air temperature → the core hour by hour, and where protection would take power off.
// It runs the network forward from the model alone; it knows no present state and holds nobody to the plan.

import type { AirDrive, BoxTemperatures } from "../physics/box.ts";
import { advanceBox } from "../physics/box.ts";
import { lossGrowth } from "../physics/collapse.ts";
import type { Mode } from "../physics/modes.ts";
import { planBoundCelsius } from "../physics/plan-bound.ts";
import { type BandLoss, boxConstantsOf, type Model } from "./model.ts";

/** What is sent in one hour: `overShare` of it is spent in overs, whose peak envelope power is `driveWatts`. */
export type PlannedOvers = {
  readonly band: BandLoss;
  readonly mode: Mode;
  readonly overShare: number;
  readonly driveWatts: number;
};

/** One hour of plan and weather; air and sun hold at its beginning and run straight to the next hour's. */
export type ForecastInput = {
  readonly hour: number;
  readonly airCelsius: number;
  readonly sunWatts: number;
  readonly overs: PlannedOvers | null;
};

/** One hour of the answer. Temperatures are the highest within the hour. */
export type ForecastHour = {
  readonly hour: number;
  readonly airCelsius: number;
  readonly lossWatts: number;
  readonly peakCoreCelsius: number;
  readonly peakUpperCelsius: number;
  /** What protection would come to in this hour if the plan were carried on regardless. */
  readonly powerStage: "full" | "reduced" | "inhibited";
  /** Minutes into the hour at which it would leave `full`; null when it would not. */
  readonly leavesFullAfterMinutes: number | null;
};

/** Model, limits and the box's state at the beginning (at rest with the air when null). */
export type ForecastQuestion = {
  readonly model: Model;
  readonly reduceCelsius: number;
  readonly limitCelsius: number;
  readonly fanTurning: boolean;
  readonly from: BoxTemperatures | null;
  /** Consecutive hours. */
  readonly hours: readonly ForecastInput[];
  /** Length of one over, s. */
  readonly overSeconds: number;
};

const HOUR_SECONDS = 3600;
const STEP_SECONDS = 15;
// No ferrite gets there: beyond this the run says nothing and is held, so that a runaway stays a number.
const HIGHEST_CELSIUS = 400;

/** The answer, hour by hour. Overs are sent at the beginning of each cycle of over and listening. */
export function forecast(question: ForecastQuestion): ForecastHour[] {
  const { model, hours } = question;
  const box = boxConstantsOf(model);
  const drive: AirDrive = { speedRatio: question.fanTurning ? 1 : 0, flowFactor: 1 };
  const first = hours[0]?.airCelsius ?? 0;
  let at = question.from ?? { coreCelsius: first, wallCelsius: first };
  return hours.map((here, index) => {
    const next = hours[index + 1] ?? here;
    let peakCore = Number.NEGATIVE_INFINITY;
    let peakUpper = Number.NEGATIVE_INFINITY;
    let heatJoules = 0;
    let leavesFull: number | null = null;
    for (let second = 0; second < HOUR_SECONDS; second += STEP_SECONDS) {
      const share = second / HOUR_SECONDS;
      const inletCelsius = here.airCelsius + share * (next.airCelsius - here.airCelsius);
      const sunWatts = here.sunWatts + share * (next.sunWatts - here.sunWatts);
      const lossWatts = lossAt(question, here.overs, second, at.coreCelsius);
      at = held(advanceBox(box, at, { inletCelsius, sunWatts, lossWatts }, drive, STEP_SECONDS));
      heatJoules += lossWatts * STEP_SECONDS;
      const upper = planBoundCelsius(
        model,
        here.overs?.band ?? null,
        at.coreCelsius,
        inletCelsius,
        lossWatts,
        question.fanTurning,
      );
      peakCore = Math.max(peakCore, at.coreCelsius);
      peakUpper = Math.max(peakUpper, upper);
      if (leavesFull === null && upper >= question.reduceCelsius) leavesFull = (second + STEP_SECONDS) / 60;
    }
    return {
      hour: here.hour,
      airCelsius: here.airCelsius,
      lossWatts: heatJoules / HOUR_SECONDS,
      peakCoreCelsius: peakCore,
      peakUpperCelsius: peakUpper,
      powerStage:
        peakUpper >= question.limitCelsius ? "inhibited" : peakUpper >= question.reduceCelsius ? "reduced" : "full",
      leavesFullAfterMinutes: leavesFull,
    };
  });
}

/** Loss in one step, W: the mode's own average during an over (FT8's 15 s as they come), nothing while listening. */
function lossAt(question: ForecastQuestion, overs: PlannedOvers | null, second: number, coreCelsius: number): number {
  if (overs === null || overs.overShare <= 0) return 0;
  const { band, mode, driveWatts } = overs;
  const sending = sendingShare(overs, question.overSeconds, second);
  const level = driveWatts * band.lossFraction * band.kappa * lossGrowth(question.model.collapse, coreCelsius);
  if (mode.onSeconds === 0) return sending * mode.duty * level;
  // A mode with a rhythm of its own: on for its seconds, off for what its duty leaves.
  const period = mode.onSeconds / mode.duty;
  return second % period < mode.onSeconds ? sending * level : 0;
}

/** How much of this step lies within an over: overs fill the first part of each cycle. */
function sendingShare(overs: PlannedOvers, overSeconds: number, second: number): number {
  if (overs.overShare >= 1) return 1;
  const cycle = overSeconds / overs.overShare;
  const into = second % cycle;
  const here = Math.min(Math.max(overSeconds - into, 0), STEP_SECONDS);
  const wrapped = Math.min(Math.max(into + STEP_SECONDS - cycle, 0), overSeconds);
  return Math.min(1, (here + wrapped) / STEP_SECONDS);
}

function held(at: BoxTemperatures): BoxTemperatures {
  return {
    coreCelsius: Math.min(at.coreCelsius, HIGHEST_CELSIUS),
    wallCelsius: Math.min(at.wallCelsius, HIGHEST_CELSIUS),
  };
}
