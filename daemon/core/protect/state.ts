// Everything the program remembers between cycles, how it begins and what of it survives a restart.
// It decides nothing; step.ts replaces it once a cycle.

import { checkpointOf, type EstimatorCheckpoint, type EstimatorState } from "../estimate/estimator.ts";
import { type AlarmRun, quietAlarm } from "./alarm.ts";
import type { Checkpoint } from "./checkpoint.ts";
import { NOTHING_SEEN, type Seen } from "./events.ts";
import { beginFan, type FanHealth } from "./fan.ts";
import type { ForwardRun } from "./forward-run.ts";
import { type PowerCycle, UNTRIED } from "./power-cycle.ts";
import type { Program } from "./program.ts";
import { NO_PROOF, type ProofTest } from "./proof-test.ts";
import type { RelayWatch } from "./relay-watch.ts";
import type { SensorWatch } from "./sensor-watch.ts";
import type { Trail } from "./spot.ts";
import { beginStage, RELEASED, type Stage } from "./stages.ts";
import type { Upsets } from "./upsets.ts";

/** Opaque to callers: use the outlook and `checkpointState`. Times are monotonic seconds unless named wall. */
export type State = {
  readonly atSeconds: number;
  /** False until the first step, which records the beginning. */
  readonly begun: boolean;
  readonly estimator: EstimatorState | null;
  /** The estimator began without an outlet to begin from. */
  readonly blind: boolean;
  /** When the filters were last begun anew because of the numbers that they held; null = never. */
  readonly lostSeconds: number | null;
  /** The filters as they were when the outlet last moved: what they learn while it stands still may have to be taken back. */
  readonly sound: EstimatorState | null;
  /** Estimator's part of the checkpoint until it has been used. */
  readonly resumption: { readonly checkpoint: EstimatorCheckpoint; readonly wallSeconds: number | null } | null;
  readonly coreCelsius: number | null;
  readonly usableSeconds: number | null;
  /** The core by drive alone; null while the drive is not known. */
  readonly run: ForwardRun | null;
  /** How far that core has moved in all, K: what should move the outlet. */
  readonly movedKelvin: number;
  readonly trail: Trail;
  readonly fan: FanHealth;
  readonly fanOffUntilSeconds: number | null;
  readonly powerCycle: PowerCycle;
  readonly inletWatch: SensorWatch | null;
  readonly outletWatch: SensorWatch | null;
  readonly wallWatch: SensorWatch | null;
  readonly ambientWatch: SensorWatch | null;
  readonly swapEvidenceSeconds: number;
  readonly swapped: boolean;
  readonly upsets: Upsets | null;
  readonly witnessBadSeconds: number | null;
  readonly dewPointCelsius: number | null;
  readonly dewPointSeconds: number;
  readonly stage: Stage;
  readonly relay: RelayWatch;
  readonly proof: ProofTest;
  readonly alarms: readonly AlarmRun[];
  readonly seen: Seen;
  readonly wallSeconds: number | null;
};

function resumeAlarm(program: Program, checkpoint: Checkpoint | null, index: number, nowSeconds: number): AlarmRun {
  const alarm = program.alarmList[index];
  const kept = checkpoint?.alarms.find(({ tag }) => tag === alarm?.tag);
  if (alarm === undefined || kept === undefined) return quietAlarm(nowSeconds);
  // Shelving never grows by a restart, and suppression is judged anew by the first cycle.
  const longest = program.alarms.longestShelvingSeconds;
  const untilSeconds =
    kept.state === "shelved" ? nowSeconds + Math.min(Math.max(kept.shelvedSeconds ?? 0, 0), longest) : null;
  const { state, held } = kept;
  const latched = alarm.latch && (kept.latched || held);
  return { state, held, latched, pendingSeconds: null, sinceSeconds: nowSeconds, untilSeconds };
}

/**
 * What the filters may begin from. Of another model only the heat of the core and vents that were seen closed go on: κ and φ are
 * relative to a model, and what a heat run found must not be overwritten by what was learned before it.
 */
function resumeEstimator(program: Program, checkpoint: Checkpoint | null): EstimatorCheckpoint | null {
  const kept = checkpoint?.estimator ?? null;
  if (kept === null || checkpoint?.modelMark === program.modelMark) return kept;
  const doubt = Math.abs(Math.log(kept.flowFactor));
  return {
    ...kept,
    flowFactor: Math.min(kept.flowFactor, 1),
    flowFactorUncertainty: Math.hypot(kept.flowFactorUncertainty, Number.isFinite(doubt) ? doubt : 0),
    bands: [],
  };
}

/** A state to begin from: both lines released until the first usable estimate. */
export function beginState(program: Program, checkpoint: Checkpoint | null, nowSeconds: number): State {
  const kept = resumeEstimator(program, checkpoint);
  const learned = checkpoint !== null && checkpoint.fanMark === program.fanMark ? checkpoint.fan : null;
  const stage = beginStage(program.limits, checkpoint?.tripped ?? false, nowSeconds, checkpoint?.tripCauses);
  const offSeconds = checkpoint?.fanOffSeconds ?? null;
  return {
    atSeconds: nowSeconds,
    begun: false,
    estimator: null,
    blind: false,
    lostSeconds: null,
    sound: null,
    resumption: kept === null ? null : { checkpoint: kept, wallSeconds: checkpoint?.wallSeconds ?? null },
    coreCelsius: null,
    usableSeconds: null,
    run: null,
    movedKelvin: 0,
    trail: [],
    fan: beginFan(nowSeconds, learned),
    fanOffUntilSeconds:
      offSeconds === null || program.fan === null
        ? null
        : nowSeconds + Math.min(Math.max(offSeconds, 0), program.fan.longestOffSeconds),
    powerCycle: UNTRIED,
    inletWatch: null,
    outletWatch: null,
    wallWatch: null,
    ambientWatch: null,
    swapEvidenceSeconds: 0,
    swapped: false,
    upsets: null,
    witnessBadSeconds: null,
    dewPointCelsius: null,
    dewPointSeconds: Number.NEGATIVE_INFINITY,
    stage,
    relay: { wanted: RELEASED, changedSeconds: null, latencySeconds: null },
    proof: {
      ...NO_PROOF,
      lastWallSeconds: checkpoint?.proofLastWallSeconds ?? null,
      firstWallSeconds: checkpoint?.proofFirstWallSeconds ?? null,
    },
    alarms: program.alarmList.map((_, index) => resumeAlarm(program, checkpoint, index, nowSeconds)),
    seen: NOTHING_SEEN,
    wallSeconds: null,
  };
}

/** What to keep on disk so that a restart forgets no trip, no alarm and no date: plain JSON. */
export function checkpointState(program: Program, state: State): Checkpoint {
  const left = (untilSeconds: number | null): number | null =>
    untilSeconds === null ? null : Math.max(untilSeconds - state.atSeconds, 0);
  return {
    version: 1,
    wallSeconds: state.wallSeconds,
    estimator: state.estimator === null ? (state.resumption?.checkpoint ?? null) : checkpointOf(state.estimator),
    modelMark: program.modelMark,
    fanMark: program.fanMark,
    tripped: state.stage.latched,
    tripCauses: state.stage.tripCauses,
    alarms: program.alarmList.flatMap(({ tag }, index) => {
      const run = state.alarms[index];
      if (run === undefined || (run.state === "normal" && !run.held)) return [];
      const { state: shown, held, latched } = run;
      return [{ tag, state: shown, held, latched, shelvedSeconds: left(run.untilSeconds) }];
    }),
    fan: state.fan.learned,
    fanOffSeconds: left(state.fanOffUntilSeconds),
    proofLastWallSeconds: state.proof.lastWallSeconds,
    proofFirstWallSeconds: state.proof.firstWallSeconds,
  };
}
