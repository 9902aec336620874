// The whole program as one function: what was read and asked in, what is believed and wanted out.
// It composes estimate, fan health, votes, stages and alarms in that order; it reads no clock and touches nothing.

import type { Answer, Command } from "./commands.ts";
import type { Effects, PermitLines, RecordEntry } from "./effects.ts";
import type { Estimate } from "./estimate/estimate.ts";
import {
  advanceEstimator,
  beginEstimator,
  type EstimatorInput,
  type EstimatorState,
  type Resumption,
  reportEstimate,
} from "./estimate/estimator.ts";
import { dewPointCelsius } from "./physics/dew-point.ts";
import { advanceAlarms, alarmStatuses, soundsBuzzer } from "./protect/alarms.ts";
import { demands } from "./protect/causes.ts";
import { isStuck } from "./protect/conditions/sensors.ts";
import { event, notice } from "./protect/events.ts";
import { advanceFan, type FanHealth, replaceFan, turnsFor } from "./protect/fan.ts";
import { advancePowerCycle } from "./protect/power-cycle.ts";
import type { Program } from "./protect/program.ts";
import { advanceProofTest, type ProofScene, proofDueWallSeconds, proofStatus } from "./protect/proof-test.ts";
import { hearRelay, wantPermits } from "./protect/relay-watch.ts";
import { performRequests, type Requested, type RequestScene } from "./protect/requests.ts";
import type { Scene } from "./protect/scene.ts";
import { screenBehaviour, screenRange } from "./protect/screen.ts";
import { watchSensor } from "./protect/sensor-watch.ts";
import { extendTrail } from "./protect/spot.ts";
import { advanceStage, permitsOf, RELEASED, type Stage } from "./protect/stages.ts";
import type { State } from "./protect/state.ts";
import { gatherSwapEvidence } from "./protect/swapped.ts";
import { advanceUpsets, beginUpsets } from "./protect/upsets.ts";
import { hearWitness } from "./protect/witness.ts";
import { good, type Readings } from "./readings.ts";

export { type Checkpoint, parseCheckpoint } from "./protect/checkpoint.ts";
export { defineProgram, type Program } from "./protect/program.ts";
export { beginState, checkpointState, type State } from "./protect/state.ts";

/** From this much drive on the transmitter counts as keyed when nobody says so, W. */
const KEYED_WATTS = 5;
/** The dew point moves slowly and is dear to work out. */
const DEW_POINT_SECONDS = 10;
/** So long after the beginning the estimate's own settling must not be taken for heat that the outlet should show. */
const SETTLING_SECONDS = 600;

const NO_ANSWERS: readonly Answer[] = Object.freeze([]);
const NO_RECORD: readonly RecordEntry[] = Object.freeze([]);

function isTransmitting({ drive }: Readings): boolean | null {
  if (drive === null) return null;
  if (drive.transmitting !== null) return drive.transmitting;
  return drive.watts.value === null ? null : drive.watts.value >= KEYED_WATTS;
}

function resumptionOf(state: State, wallSeconds: number | null): Resumption | null {
  if (state.resumption === null) return null;
  const then = state.resumption.wallSeconds;
  const ageSeconds = then === null || wallSeconds === null || wallSeconds < then ? null : wallSeconds - then;
  return { checkpoint: state.resumption.checkpoint, ageSeconds };
}

/** The filter's state with these readings; begun anew while it began blind and has not become usable. */
function followCore(
  program: Program,
  state: State,
  believed: Readings,
  fan: FanHealth,
  turning: boolean | null,
  wallSeconds: number | null,
  nowSeconds: number,
): EstimatorState {
  const rpm = believed.fan === null ? null : believed.fan.rpm.value;
  const input: EstimatorInput = {
    atSeconds: nowSeconds,
    dtSeconds: state.estimator === null ? 0 : nowSeconds - state.atSeconds,
    inlet: believed.inlet,
    outlet: believed.outlet,
    wall: believed.wall,
    ambient: believed.ambient,
    core: believed.core,
    fan: { rpm: turning === null && fan.verdict !== "starting" ? null : turning === false ? 0 : rpm, turning },
    drive: believed.drive,
  };
  const outletThere = believed.outlet !== null && believed.outlet.value !== null;
  if (state.estimator === null || (state.blind && state.usableSeconds === null && outletThere)) {
    const first = beginEstimator(program.model, { ...input, dtSeconds: 0 }, resumptionOf(state, wallSeconds));
    return advanceEstimator(program.model, first, { ...input, dtSeconds: 0 });
  }
  return advanceEstimator(program.model, state.estimator, input);
}

function dewPoint(readings: Readings): number | null {
  const air = readings.inlet?.value ?? readings.ambient?.value ?? null;
  const humidity = readings.humidityRatio?.value ?? null;
  // Below this the formula has no dew point worth a warning.
  if (air === null || humidity === null || air < -40 || air > 90 || humidity < 0.02) return null;
  return dewPointCelsius(air, Math.min(humidity, 1));
}

function stageEntry(
  before: Stage,
  stage: Stage,
  estimate: Estimate,
  by: string | null,
  nowSeconds: number,
): RecordEntry {
  const why = stage.reasons.length === 0 ? "nothing demands less" : stage.reasons.join("; ");
  const text = `${before.stage} → ${stage.stage}: ${why}; upper bound ${estimate.coreUpperCelsius.toFixed(1)} °C`;
  return { atSeconds: nowSeconds, kind: "stage", tag: stage.stage, text, by };
}

function recordBeginning(program: Program, state: State, record: RecordEntry[], nowSeconds: number): void {
  const tripped = state.stage.latched ? "; the trip of the last run stands until the operator resets it" : "";
  record.push(event(nowSeconds, "begin", `both lines are released until the first usable estimate${tripped}`));
  for (const warning of program.warnings) record.push(event(nowSeconds, "warning", warning));
}

/** One cycle. Pure: `state` is left as it was. `nowSeconds` is monotonic and belongs to the readings. */
export function step(
  program: Program,
  state: State,
  readings: Readings,
  commands: readonly Command[],
  nowSeconds: number,
): { readonly state: State; readonly effects: Effects } {
  const { limits, model } = program;
  // A clock that stands or goes back makes no time pass.
  const now = Number.isFinite(nowSeconds) ? Math.max(nowSeconds, state.atSeconds) : state.atSeconds;
  const elapsed = now - state.atSeconds;
  const record: RecordEntry[] = [];
  const answers: Answer[] = [];
  if (!state.begun) recordBeginning(program, state, record, now);

  // Measured.
  const measured = screenRange(readings);
  const { upkeep, ambient } = measured;
  const wallSeconds = upkeep.wallTrusted ? upkeep.wallSeconds : null;
  const transmitting = isTransmitting(measured);
  const settled = now - state.beganSeconds > SETTLING_SECONDS;
  const inletWatch = watchSensor(state.inletWatch, measured.inlet, ambient === null ? null : ambient.value, now);
  const outletWatch = watchSensor(state.outletWatch, measured.outlet, settled ? state.coreCelsius : null, now);
  const { stuckSeconds } = program.alarms;
  const upsets = advanceUpsets(
    state.upsets ?? beginUpsets(upkeep.sensorErrorsTransmitting, upkeep.sensorErrorsReceiving, now),
    upkeep.sensorErrorsTransmitting,
    upkeep.sensorErrorsReceiving,
    transmitting,
    now,
  );

  // Asked, first part: what changes fan or estimate.
  let asked: Requested = {
    stage: state.stage,
    proof: state.proof,
    alarms: state.alarms,
    fanOffUntilSeconds: state.fanOffUntilSeconds,
    fanReplaced: false,
    spotCelsius: null,
    resetAsked: false,
  };
  if (asked.fanOffUntilSeconds !== null && now >= asked.fanOffUntilSeconds) {
    asked.fanOffUntilSeconds = null;
    record.push(event(now, "fan_off_ended", "the time for which the fan was off on purpose has ended"));
  }
  const proofScene: ProofScene = {
    stage: state.stage.stage,
    relay: measured.relay,
    transmitting,
    wallSeconds,
    nowSeconds: now,
  };
  const scene0: RequestScene = {
    program,
    nowSeconds: now,
    causes: state.stage.causes,
    proof: proofScene,
    trail: state.trail,
    coreCelsius: state.coreCelsius,
  };
  if (commands.length > 0) asked = performRequests("before the estimate", commands, asked, scene0, answers, record);

  // Believed.
  const fanOffOnPurpose = asked.fanOffUntilSeconds !== null;
  let fan = asked.fanReplaced ? replaceFan(state.fan) : state.fan;
  if (program.fan !== null) fan = advanceFan(program.fan, fan, measured, fanOffOnPurpose, now);
  const turning = turnsFor(fan.verdict);
  const swapEvidenceSeconds = gatherSwapEvidence(state.swapEvidenceSeconds, measured, turning, elapsed);
  let believed = screenBehaviour(
    measured,
    isStuck(inletWatch, "inlet", stuckSeconds, now),
    inletWatch?.jumping ?? false,
    isStuck(outletWatch, "outlet", stuckSeconds, now),
    outletWatch?.jumping ?? false,
  );
  if (asked.spotCelsius !== null) believed = { ...believed, core: good(asked.spotCelsius) };
  const estimator = followCore(program, state, believed, fan, turning, wallSeconds, now);
  const estimate = reportEstimate(model, estimator, limits);
  const usable = estimate.usable && Number.isFinite(estimate.coreUpperCelsius);
  const usableSeconds = usable ? now : state.usableSeconds;
  const witness = hearWitness(model, believed, turning, swapEvidenceSeconds >= program.alarms.swappedSeconds);
  const witnessBadSeconds = witness.bad ? (state.witnessBadSeconds ?? now) : null;

  // Decided.
  const causes = demands(
    limits,
    {
      estimate,
      usableSeconds,
      witness,
      witnessBadSeconds,
      outletCelsius: believed.outlet === null ? null : believed.outlet.value,
      fan: program.fan === null || measured.fan === null ? null : fan,
    },
    { reduced: state.stage.stage === "reduced", inhibited: state.stage.stage === "inhibited" },
    now,
  );
  if (commands.length > 0) {
    asked = performRequests("after the estimate", commands, asked, { ...scene0, causes }, answers, record);
  }
  const stage = advanceStage(limits, asked.stage, causes, asked.resetAsked, now);
  const by = asked.resetAsked ? (commands.find(({ action }) => action.kind === "reset")?.by ?? null) : null;
  if (stage.stage !== state.stage.stage) record.push(stageEntry(state.stage, stage, estimate, by, now));
  if (asked.stage.bypassedUntilSeconds !== null && stage.bypassedUntilSeconds === null) {
    record.push(event(now, "bypass_ended", "the bypass has run out: every vote counts again"));
  }
  const heard = hearRelay(state.relay, measured.relay, now);
  const proved = advanceProofTest(asked.proof, { ...proofScene, stage: stage.stage });
  if (proved.entry !== null)
    record.push({ atSeconds: now, kind: "proof test", tag: "end", text: proved.entry, by: null });
  const permits: PermitLines = proved.proof.step === "released" ? RELEASED : permitsOf(stage.stage);
  const relay = wantPermits(heard, permits, now);
  const powerCycle = advancePowerCycle(
    program.fan?.powerCycle ?? null,
    state.powerCycle,
    fan.verdict,
    fan.sinceSeconds,
    now,
  );
  if (powerCycle.attempts > state.powerCycle.attempts) {
    record.push(event(now, "fan_power_cycle", `the fan's supply is cut for a moment, attempt ${powerCycle.attempts}`));
  }

  // Told.
  const dewDue = now - state.dewPointSeconds >= DEW_POINT_SECONDS;
  const scene: Scene = {
    settings: program,
    nowSeconds: now,
    readings: measured,
    estimate,
    stage: stage.stage,
    fan,
    fanOffOnPurpose,
    inletWatch,
    outletWatch,
    swapEvidenceSeconds,
    upsets,
    wanted: state.relay.wanted,
    dewPointCelsius: dewDue ? dewPoint(measured) : state.dewPointCelsius,
    proofDueWallSeconds: proofDueWallSeconds(proved.proof, program.alarms.proofTestDays),
  };
  const alarms = advanceAlarms(program.alarmList, asked.alarms, scene, record);
  const statuses = alarmStatuses(program.alarmList, alarms, scene);
  const seen = notice(state.seen, upkeep, program.alarms.rigLinkSeconds, record, now);

  const next: State = {
    atSeconds: now,
    beganSeconds: state.beganSeconds,
    begun: true,
    estimator,
    blind: state.estimator === null ? believed.outlet?.value == null : state.blind && usableSeconds === null,
    resumption: usableSeconds === null ? state.resumption : null,
    coreCelsius: estimate.coreCelsius,
    usableSeconds,
    trail: extendTrail(state.trail, estimate.coreCelsius, now),
    fan,
    fanOffUntilSeconds: asked.fanOffUntilSeconds,
    powerCycle,
    inletWatch,
    outletWatch,
    swapEvidenceSeconds,
    upsets,
    witnessBadSeconds,
    dewPointCelsius: scene.dewPointCelsius,
    dewPointSeconds: dewDue ? now : state.dewPointSeconds,
    stage,
    relay,
    proof: proved.proof,
    alarms,
    seen,
    wallSeconds,
  };
  const reactionSeconds =
    program.fan === null || relay.latencySeconds === null
      ? null
      : (fan.detectionSeconds ?? program.fan.stallSeconds) + relay.latencySeconds;
  return {
    state: next,
    effects: {
      permits,
      outlook: {
        atSeconds: now,
        readings: believed,
        estimate,
        fan: fan.verdict,
        stage: stage.stage,
        reasons: stage.reasons,
        bypassedUntilSeconds: stage.bypassedUntilSeconds,
        alarms: statuses,
        dewPointCelsius: scene.dewPointCelsius,
        processSafetySeconds: program.processSafetySeconds,
        reactionSeconds,
        proofTest: proofStatus(proved.proof, program.alarms.proofTestDays),
      },
      record: record.length === 0 ? NO_RECORD : record,
      answers: answers.length === 0 ? NO_ANSWERS : answers,
      buzzer: soundsBuzzer(statuses, program.alarms.buzzerFrom),
      fanPower: powerCycle.offUntilSeconds === null,
    },
  };
}
