// The third part of a cycle: what is demanded, what operators asked, and the stage, test and lines that follow. It drives nothing.

import type { Command } from "../commands.ts";
import type { PermitLines } from "../effects.ts";
import type { Estimate } from "../estimate/estimate.ts";
import type { Belief } from "./belief.ts";
import { demands } from "./causes.ts";
import type { FanHealth } from "./fan.ts";
import type { Journal } from "./journal.ts";
import type { Observation } from "./observation.ts";
import { advancePowerCycle, type PowerCycle } from "./power-cycle.ts";
import { type Program, SAFETY_MARGIN } from "./program.ts";
import { advanceProofTest, type ProofTest } from "./proof-test.ts";
import { hearRelay, type RelayWatch, wantPermits } from "./relay-watch.ts";
import type { Requested } from "./request.ts";
import { performRequests } from "./requests.ts";
import { advanceStage, permitsOf, RELEASED, type Stage } from "./stages.ts";
import type { State } from "./state.ts";

/** What this cycle's decision rests on. */
export type Grounds = {
  readonly seen: Observation;
  readonly belief: Belief;
  /** After the requests that change fan or estimate. */
  readonly asked: Requested;
  readonly commands: readonly Command[];
};

/** Stage, test and lines as they now stand. */
export type Decision = {
  readonly stage: Stage;
  readonly proof: ProofTest;
  readonly permits: PermitLines;
  readonly relay: RelayWatch;
  /** Detection of a stall plus read-back of a changed line, as last measured; null before the first. */
  readonly reactionSeconds: number | null;
  readonly powerCycle: PowerCycle;
  /** After the requests, before this cycle's conditions. */
  readonly alarms: Requested["alarms"];
};

/** What operators asked is told apart from what came by itself. */
function recordStage(before: Stage, stage: Stage, estimate: Estimate, by: string | null, journal: Journal): void {
  if (stage.stage === before.stage) return;
  const why = stage.reasons.length === 0 ? "nothing demands less" : stage.reasons.join("; ");
  const text = `${before.stage} → ${stage.stage}: ${why}; upper bound ${estimate.coreUpperCelsius.toFixed(1)} °C`;
  journal.enter("stage", stage.stage, text, by);
}

function reaction(program: Program, fan: FanHealth, relay: RelayWatch): number | null {
  if (program.fan === null || relay.latencySeconds === null) return null;
  return (fan.detectionSeconds ?? program.fan.stallSeconds) + relay.latencySeconds;
}

/** A reaction that was planned well and measured badly is worth a line each time. */
function recordMargin(program: Program, seconds: number | null, journal: Journal): void {
  const safety = program.processSafetySeconds;
  if (safety === null || seconds === null || safety >= SAFETY_MARGIN * seconds) return;
  const text = `detection and relay took ${seconds.toFixed(1)} s, more than a third of the process safety time of ${safety.toFixed(1)} s`;
  journal.event("safety_margin", text);
}

/** What follows from observation, belief and requests; the journal hears of it. */
export function decide(program: Program, state: State, grounds: Grounds, journal: Journal): Decision {
  const { limits } = program;
  const { seen, belief, commands } = grounds;
  const { atSeconds: nowSeconds } = journal;
  const { measured, transmitting, wallSeconds } = seen;
  const { estimate, usableSeconds, witness, witnessBadSeconds, readings, fan } = belief;
  const causes = demands(
    limits,
    {
      estimate,
      usableSeconds,
      witness,
      witnessBadSeconds,
      outletCelsius: readings.outlet === null ? null : readings.outlet.value,
      fan: program.fan === null || measured.fan === null ? null : fan,
    },
    { reduced: state.stage.stage === "reduced" || state.stage.latched, inhibited: state.stage.stage === "inhibited" },
    nowSeconds,
  );
  let { asked } = grounds;
  if (commands.length > 0) {
    const proof = { stage: state.stage.stage, relay: measured.relay, transmitting, wallSeconds, nowSeconds };
    const scene = {
      program,
      nowSeconds,
      causes,
      proof,
      trail: state.trail,
      coreCelsius: state.coreCelsius,
      airCelsius: null,
      coldestCelsius: null,
    };
    asked = performRequests("after the estimate", commands, asked, scene, journal);
  }
  const stage = advanceStage(limits, asked.stage, causes, asked.resetAsked, nowSeconds);
  const resetBy = asked.resetAsked ? (commands.find(({ action }) => action.kind === "reset")?.by ?? null) : null;
  recordStage(state.stage, stage, estimate, resetBy, journal);
  if (asked.stage.bypassedUntilSeconds !== null && stage.bypassedUntilSeconds === null) {
    journal.event("bypass_ended", "the bypass has run out: every vote counts again");
  }

  const proofScene = { stage: stage.stage, relay: measured.relay, transmitting, wallSeconds, nowSeconds };
  const { proof, entry } = advanceProofTest(asked.proof, proofScene);
  if (entry !== null) journal.enter("proof test", "end", entry, null);

  const permits = proof.step === "released" ? RELEASED : permitsOf(stage.stage);
  const heard = hearRelay(state.relay, measured.relay, nowSeconds);
  const reactionSeconds = reaction(program, fan, heard);
  if (heard !== state.relay) recordMargin(program, reactionSeconds, journal);
  const relay = wantPermits(heard, permits, nowSeconds);
  const settings = program.fan === null ? null : program.fan.powerCycle;
  const powerCycle = advancePowerCycle(settings, state.powerCycle, fan.verdict, fan.sinceSeconds, nowSeconds);
  if (powerCycle.attempts > state.powerCycle.attempts) {
    journal.event("fan_power_cycle", `the fan's supply is cut for a moment, attempt ${powerCycle.attempts}`);
  }
  return { stage, proof, permits, relay, reactionSeconds, powerCycle, alarms: asked.alarms };
}
