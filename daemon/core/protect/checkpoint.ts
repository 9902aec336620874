// What survives a restart: plain JSON, checked when it comes back, because a disk may return anything.
// Durations, never monotonic times: these mean nothing in another boot.

import type { AlarmState } from "../effects.ts";
import type { EstimatorCheckpoint } from "../estimate/estimator.ts";
import { CAUSE } from "./causes.ts";
import { type LearnedSpeed, UNLEARNED_SPEED } from "./fan-speed.ts";
import { ALARM_STATES } from "./machine.ts";

/** One alarm that was not normal. */
export type AlarmCheckpoint = {
  readonly tag: string;
  readonly state: AlarmState;
  readonly held: boolean;
  /** Nobody has reset it since it came; not said by checkpoints of programs that did not keep it. */
  readonly latched: boolean;
  /** What was left of its shelving; null when not shelved. */
  readonly shelvedSeconds: number | null;
};

/** Written now and then, and after every trip, by the shell; given back to `beginState`. */
export type Checkpoint = {
  readonly version: 1;
  /** Unix seconds when it was made; null when the clock was not trusted. */
  readonly wallSeconds: number | null;
  readonly estimator: EstimatorCheckpoint | null;
  /** What the estimator's figures and the learned speed are relative to; null = not said, as before they were kept. */
  readonly modelMark: string | null;
  readonly fanMark: string | null;
  /** A trip that nobody has reset. A bypass is not kept: a restart ends it. */
  readonly tripped: boolean;
  readonly tripCauses: number;
  readonly alarms: readonly AlarmCheckpoint[];
  readonly fan: LearnedSpeed;
  readonly fanOffSeconds: number | null;
  readonly proofLastWallSeconds: number | null;
  readonly proofFirstWallSeconds: number | null;
};

/** Of the form above; a newer one may hold a trip where this program would not look. */
const CHECKPOINT_VERSION = 1;

/** What to begin from where there was something to remember and nobody can read it: a trip may stand, so one does. */
export const UNREADABLE_CHECKPOINT: Checkpoint = {
  version: CHECKPOINT_VERSION,
  wallSeconds: null,
  estimator: null,
  modelMark: null,
  fanMark: null,
  tripped: true,
  tripCauses: CAUSE.forgotten,
  alarms: [],
  fan: UNLEARNED_SPEED,
  fanOffSeconds: null,
  proofLastWallSeconds: null,
  proofFirstWallSeconds: null,
};

/** The version of a checkpoint that a newer program wrote; null for every other value. */
export function newerVersion(value: unknown): number | null {
  if (!isRaw(value)) return null;
  const { version }: { readonly version?: unknown } = value;
  return isNumber(version) && Number.isInteger(version) && version > CHECKPOINT_VERSION ? version : null;
}

/** The same keys with nothing known of their values. */
type Raw<Shape> = { readonly [Key in keyof Shape]?: unknown };

const isRaw = (value: unknown): value is object => typeof value === "object" && value !== null;
const isNumber = (value: unknown): value is number => typeof value === "number" && Number.isFinite(value);
const isNumberOrNull = (value: unknown): value is number | null => value === null || isNumber(value);
const areNumbers = (value: unknown, count: number): boolean =>
  Array.isArray(value) && value.length === count && value.every(isNumber);

function parseAlarm(value: unknown): readonly AlarmCheckpoint[] {
  if (!isRaw(value)) return [];
  const { tag, held, latched, shelvedSeconds, ...raw }: Raw<AlarmCheckpoint> = value;
  const state = ALARM_STATES.find((known) => known === raw.state);
  if (typeof tag !== "string" || state === undefined || typeof held !== "boolean") return [];
  if (!isNumberOrNull(shelvedSeconds)) return [];
  const shown = state === "latched unacknowledged" || state === "latched acknowledged";
  return [{ tag, state, held, latched: latched === true || shown, shelvedSeconds }];
}

function isLearned(value: unknown): value is LearnedSpeed {
  if (!isRaw(value)) return false;
  const { coefficients, covariance, learnedSeconds }: Raw<LearnedSpeed> = value;
  return isNumber(learnedSeconds) && areNumbers(coefficients, 3) && areNumbers(covariance, 6);
}

function isBand(value: unknown): boolean {
  if (!isRaw(value)) return false;
  const { band, lnKappa, uncertainty }: Raw<EstimatorCheckpoint["bands"][number]> = value;
  return typeof band === "string" && isNumber(lnKappa) && isNumber(uncertainty);
}

function isEstimator(value: unknown): value is EstimatorCheckpoint {
  if (!isRaw(value)) return false;
  const raw: Raw<EstimatorCheckpoint> = value;
  return (
    raw.version === 1 &&
    isNumber(raw.atSeconds) &&
    isNumber(raw.coreCelsius) &&
    isNumber(raw.coreUncertaintyKelvin) &&
    isNumber(raw.flowFactor) &&
    isNumber(raw.flowFactorUncertainty) &&
    isNumber(raw.sunWatts) &&
    Array.isArray(raw.bands) &&
    raw.bands.every(isBand)
  );
}

/**
 * null when `value` is no checkpoint of this version or does not say whether a trip stands. Any other part that is not what
 * it should be is left out by itself: a spoilt figure of the filters must not make a trip forgotten.
 */
export function parseCheckpoint(value: unknown): Checkpoint | null {
  if (!isRaw(value)) return null;
  const raw: Raw<Checkpoint> = value;
  if (raw.version !== CHECKPOINT_VERSION || typeof raw.tripped !== "boolean") return null;
  const textOrNull = (part: unknown): string | null => (typeof part === "string" ? part : null);
  const numberOrNull = (part: unknown): number | null => (isNumber(part) ? part : null);
  return {
    version: 1,
    wallSeconds: numberOrNull(raw.wallSeconds),
    estimator: isEstimator(raw.estimator) ? raw.estimator : null,
    modelMark: textOrNull(raw.modelMark),
    fanMark: textOrNull(raw.fanMark),
    tripped: raw.tripped,
    tripCauses: isNumber(raw.tripCauses) ? raw.tripCauses : 0,
    alarms: Array.isArray(raw.alarms) ? raw.alarms.flatMap(parseAlarm) : [],
    fan: isLearned(raw.fan) ? raw.fan : UNLEARNED_SPEED,
    fanOffSeconds: numberOrNull(raw.fanOffSeconds),
    proofLastWallSeconds: numberOrNull(raw.proofLastWallSeconds),
    proofFirstWallSeconds: numberOrNull(raw.proofFirstWallSeconds),
  };
}
