// Everything the estimator remembers between cycles: two branches and a few running figures in one flat vector.
// The layout lives here and nowhere else; callers outside this folder treat the state as opaque.

import type { BoxConstants } from "../physics/box.ts";
import type { Scratch } from "./branch.ts";
import type { Degradation } from "./estimate.ts";
import { BRANCH_LENGTH } from "./gaussian.ts";
import type { Model } from "./model.ts";

/** Offsets of the branches: the drive known and κ given, or the loss unknown and followed. */
export const DRIVEN = 0;
export const FREE = BRANCH_LENGTH;

const AFTER_BRANCHES = 2 * BRANCH_LENGTH;

/** Running figures after the branches. */
export const SLOT = {
  /** Smoothed inlet, what is not known of it while it is missing (K²), and for how long it has been missing. */
  inlet: AFTER_BRANCHES,
  inletVariance: AFTER_BRANCHES + 1,
  secondsWithoutInlet: AFTER_BRANCHES + 2,
  /** Inlet minus ambient, learned while both are there. */
  inletOverAmbient: AFTER_BRANCHES + 3,
  secondsWithoutOutlet: AFTER_BRANCHES + 4,
  secondsWithoutDrive: AFTER_BRANCHES + 5,
  secondsSinceBegin: AFTER_BRANCHES + 6,
  outletsSeen: AFTER_BRANCHES + 7,
  /** Recent normalised innovation squared of the outlet and the weight gathered so far. */
  nis: AFTER_BRANCHES + 8,
  nisWeight: AFTER_BRANCHES + 9,
  /** Recent average heat of each branch, its weight, and how long the branch has been quiet. */
  drivenPace: AFTER_BRANCHES + 10,
  drivenPaceWeight: AFTER_BRANCHES + 11,
  drivenQuiet: AFTER_BRANCHES + 12,
  freePace: AFTER_BRANCHES + 13,
  freePaceWeight: AFTER_BRANCHES + 14,
  freeQuiet: AFTER_BRANCHES + 15,
  /** Flow factor as it was when the tach was lost; variance < 0 while the tach is there. */
  savedLnFlow: AFTER_BRANCHES + 16,
  savedLnFlowVariance: AFTER_BRANCHES + 17,
  /** Speed ratio at work, 0 = stopped. */
  speedRatio: AFTER_BRANCHES + 18,
  /** Loss of each branch as the inside of the core feels it, W: the bore follows the heat within some 20 s. */
  drivenBoreHeat: AFTER_BRANCHES + 19,
  freeBoreHeat: AFTER_BRANCHES + 20,
  /** Loss of each branch now, W. */
  drivenLoss: AFTER_BRANCHES + 21,
  freeLoss: AFTER_BRANCHES + 22,
  secondsWithoutCore: AFTER_BRANCHES + 23,
} as const;

/** First of the bands' memories: ln κ and its variance, two numbers a band. */
export const BANDS_AT = AFTER_BRANCHES + 24;

/** Length of the vector for a model. */
export const vectorLength = (model: Model): number => BANDS_AT + 2 * model.bands.length;

/** What is worked out once from a model. */
export type Compiled = { readonly model: Model; readonly box: BoxConstants; readonly scratch: Scratch };

/** The estimator's memory. Opaque: use `reportEstimate` and `checkpointOf`. */
export type EstimatorState = {
  readonly atSeconds: number;
  readonly vector: Float64Array;
  readonly compiled: Compiled;
  /** Band whose ln κ the driven branch holds; −1 when the band is not known. */
  readonly bandIndex: number;
  /** Table loss per watt of drive at work. */
  readonly lossFraction: number;
  /** True while the driven branch has a drive to go by. */
  readonly driveKnown: boolean;
  /** That drive is suspect: there may be more of it. */
  readonly driveSuspect: boolean;
  readonly fanStopped: boolean;
  /** True near and past the Curie point. */
  readonly surging: boolean;
  readonly degraded: readonly Degradation[];
};
