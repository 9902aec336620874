// The whole program as one function: what was read and asked in, what is believed and wanted out.
// Observe, believe, decide, tell, in that order; it reads no clock and touches nothing.

import type { Command } from "./commands.ts";
import type { Effects } from "./effects.ts";
import { advanceAlarms, alarmStatuses, soundsBuzzer } from "./protect/alarms.ts";
import { believe } from "./protect/belief.ts";
import { decide } from "./protect/decision.ts";
import { notice } from "./protect/events.ts";
import { movedKelvin } from "./protect/forward-run.ts";
import { Journal } from "./protect/journal.ts";
import { type Observation, observe } from "./protect/observation.ts";
import type { Program } from "./protect/program.ts";
import { proofDueWallSeconds, proofStatus } from "./protect/proof-test.ts";
import type { Requested } from "./protect/request.ts";
import { performRequests } from "./protect/requests.ts";
import type { Scene } from "./protect/scene.ts";
import { extendTrail, shiftTrail } from "./protect/spot.ts";
import type { State } from "./protect/state.ts";
import type { Reading, Readings } from "./readings.ts";

export { type Checkpoint, parseCheckpoint } from "./protect/checkpoint.ts";
export { defineProgram, type Program } from "./protect/program.ts";
export { beginState, checkpointState, type State } from "./protect/state.ts";

function recordBeginning(program: Program, state: State, journal: Journal): void {
  const tripped = state.stage.latched ? "; the trip of the last run stands until the operator resets it" : "";
  journal.event("begin", `both lines are released until the first usable estimate${tripped}`);
  for (const warning of program.warnings) journal.event("warning", warning);
}

function warmer(one: Reading | null, other: Reading | null): number | null {
  const celsius = [one, other].flatMap((reading) =>
    reading === null || reading.value === null ? [] : [reading.value],
  );
  return celsius.length === 0 ? null : Math.max(...celsius);
}

/** Requests that change fan or estimate, and the end of a fan's time off. */
function askFirst(
  program: Program,
  state: State,
  seen: Observation,
  commands: readonly Command[],
  journal: Journal,
): Requested {
  const { atSeconds: nowSeconds } = journal;
  const offUntil = state.fanOffUntilSeconds;
  const offEnded = offUntil !== null && nowSeconds >= offUntil;
  if (offEnded) journal.event("fan_off_ended", "the fan's time off on purpose has ended");
  const asked: Requested = {
    stage: state.stage,
    proof: state.proof,
    alarms: state.alarms,
    fanOffUntilSeconds: offEnded ? null : offUntil,
    fanReplaced: false,
    spotCelsius: null,
    resetAsked: false,
  };
  if (commands.length === 0) return asked;
  const { transmitting, wallSeconds } = seen;
  const proof = { stage: state.stage.stage, relay: seen.measured.relay, transmitting, wallSeconds, nowSeconds };
  const { trail, coreCelsius } = state;
  const airCelsius = warmer(seen.believed.inlet, seen.believed.outlet);
  const { coldestCelsius } = seen;
  const { causes } = state.stage;
  const scene = { program, nowSeconds, causes, proof, trail, coreCelsius, airCelsius, coldestCelsius };
  return performRequests("before the estimate", commands, asked, scene, journal);
}

/** One cycle. Pure: `state` is left as it was. `nowSeconds` is monotonic and belongs to the readings. */
export function step(
  program: Program,
  state: State,
  readings: Readings,
  commands: readonly Command[],
  nowSeconds: number,
): { readonly state: State; readonly effects: Effects } {
  // A clock that stands or goes back makes no time pass.
  const now = Number.isFinite(nowSeconds) ? Math.max(nowSeconds, state.atSeconds) : state.atSeconds;
  const journal = new Journal(now);
  if (!state.begun) recordBeginning(program, state, journal);

  const seen = observe(program, state, readings, now);
  const asked = askFirst(program, state, seen, commands, journal);
  const belief = believe(program, state, seen, asked, now);
  if (belief.lost && state.lostSeconds !== state.atSeconds) {
    journal.event("estimate_lost", "the filters held numbers that no box can have and were begun anew from the outlet");
  }
  const decision = decide(program, state, { seen, belief, asked, commands }, journal);
  const { fan, estimate, estimator, swapEvidenceSeconds } = belief;
  const { stage, proof, permits, relay, powerCycle } = decision;
  const { inletWatch, outletWatch, wallWatch, ambientWatch, upsets, wallSeconds } = seen;

  const scene: Scene = {
    settings: program,
    nowSeconds: now,
    readings: seen.measured,
    estimate,
    stage: stage.stage,
    causes: stage.causes,
    witness: belief.witness,
    fan,
    fanOffOnPurpose: asked.fanOffUntilSeconds !== null,
    inletWatch,
    outletWatch,
    swapEvidenceSeconds,
    upsets,
    wanted: state.relay.wanted,
    dewPointCelsius: belief.dewPointCelsius,
    proofDueWallSeconds: proofDueWallSeconds(proof, program.alarms.proofTestDays),
  };
  const alarms = advanceAlarms(program.watches, decision.alarms, scene, journal);
  const statuses = alarmStatuses(program.watches, alarms, scene);

  const moved = asked.spotCelsius === null ? 0 : estimate.coreCelsius - (state.coreCelsius ?? estimate.coreCelsius);
  const trail = moved === 0 ? state.trail : shiftTrail(state.trail, moved);

  const next: State = {
    atSeconds: now,
    begun: true,
    estimator,
    blind: belief.blind,
    lostSeconds: belief.lost ? now : state.lostSeconds,
    sound: seen.outletMoved && !belief.lost ? belief.estimator : state.sound,
    resumption: belief.usableSeconds === null ? state.resumption : null,
    coreCelsius: estimate.coreCelsius,
    usableSeconds: belief.usableSeconds,
    run: belief.run,
    movedKelvin: state.movedKelvin + movedKelvin(state.run, belief.run, now),
    trail: extendTrail(trail, estimate.coreCelsius, now),
    fan,
    fanOffUntilSeconds: asked.fanOffUntilSeconds,
    powerCycle,
    inletWatch,
    outletWatch,
    wallWatch,
    ambientWatch,
    swapEvidenceSeconds,
    swapped: belief.swapped,
    upsets,
    witnessBadSeconds: belief.witnessBadSeconds,
    dewPointCelsius: belief.dewPointCelsius,
    dewPointSeconds: belief.dewPointSeconds,
    stage,
    relay,
    proof,
    alarms,
    seen: notice(state.seen, seen.measured.upkeep, program.alarms.rigLinkSeconds, journal),
    wallSeconds,
  };
  const effects: Effects = {
    permits,
    outlook: {
      atSeconds: now,
      readings: belief.readings,
      estimate,
      fan: fan.verdict,
      stage: stage.stage,
      reasons: stage.reasons,
      bypassedUntilSeconds: stage.bypassedUntilSeconds,
      alarms: statuses,
      dewPointCelsius: belief.dewPointCelsius,
      processSafetySeconds: program.processSafetySeconds,
      reactionSeconds: decision.reactionSeconds,
      proofTest: proofStatus(proof, program.alarms.proofTestDays),
    },
    record: journal.record,
    answers: journal.answers,
    buzzer: soundsBuzzer(statuses, program.alarms.buzzerFrom),
    fanPower: powerCycle.offUntilSeconds === null,
  };
  return { state: next, effects };
}
