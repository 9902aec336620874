// The guided proof test of the permit lines as a pure state machine: release, a person confirms, permit, a person confirms, the date.
// It moves no line itself: while it runs, step() asks it which lines may be energised.

import type { PermitLines, PowerStage, ProofTestStatus } from "../effects.ts";
import type { RelayReading } from "../readings.ts";
import { agrees } from "./relay-watch.ts";
import { RELEASED } from "./stages.ts";

export type ProofStep = "begin" | "confirm released" | "confirm permitted" | "abandon";

/** Monotonic seconds unless named wall. */
export type ProofTest = {
  readonly step: ProofTestStatus["step"];
  readonly untilSeconds: number | null;
  readonly before: RelayReading | null;
  readonly lastWallSeconds: number | null;
  /** First trusted wall time of this installation: a test never done is due some time after it. */
  readonly firstWallSeconds: number | null;
};

/** What the test needs to see. */
export type ProofScene = {
  readonly stage: PowerStage;
  readonly relay: RelayReading | null;
  readonly transmitting: boolean | null;
  readonly wallSeconds: number | null;
  readonly nowSeconds: number;
};

/** What became of a request: `refused` says why nothing changed; `entry` goes into the record. */
export type ProofOutcome = { readonly proof: ProofTest; readonly refused: string | null; readonly entry: string };

/** A test nobody goes on with ends by itself. */
export const PROOF_TEST_SECONDS = 600;
/** A new installation is proved within so many days. */
export const FIRST_TEST_DAYS = 14;
const DAY_SECONDS = 86_400;

export const NO_PROOF: ProofTest = {
  step: "idle",
  untilSeconds: null,
  before: null,
  lastWallSeconds: null,
  firstWallSeconds: null,
};

const line = (energised: boolean | null): string =>
  energised === null ? "not readable" : energised ? "energised" : "released";

/** `reduce energised, inhibit released`. */
export function describeLines(relay: RelayReading | null): string {
  return relay === null ? "no relay" : `reduce ${line(relay.reduce)}, inhibit ${line(relay.inhibit)}`;
}

const BOTH: PermitLines = { reduce: true, inhibit: true };
const idle = (proof: ProofTest): ProofTest => ({ ...proof, step: "idle", untilSeconds: null, before: null });

function refuse(proof: ProofTest, why: string): ProofOutcome {
  return { proof, refused: why, entry: `refused: ${why}` };
}

function beginTest(proof: ProofTest, scene: ProofScene): ProofOutcome {
  if (proof.step !== "idle") return refuse(proof, "a proof test is running");
  if (scene.relay === null) return refuse(proof, "no relay is fitted");
  if (scene.transmitting === true) return refuse(proof, "the transmitter is keyed");
  if (scene.stage !== "full") return refuse(proof, `the power stage is ${scene.stage}, it must be full`);
  return {
    proof: { ...proof, step: "released", untilSeconds: scene.nowSeconds + PROOF_TEST_SECONDS, before: scene.relay },
    refused: null,
    entry: `begun; read back before: ${describeLines(scene.relay)}`,
  };
}

function confirmReleased(proof: ProofTest, scene: ProofScene): ProofOutcome {
  if (proof.step !== "released") return refuse(proof, "the lines are not released for a test");
  if (scene.relay === null || agrees(RELEASED, scene.relay) !== true) {
    return {
      proof: idle(proof),
      refused: "failed",
      entry: `failed: read back ${describeLines(scene.relay)} while released`,
    };
  }
  return {
    proof: { ...proof, step: "permitted", untilSeconds: scene.nowSeconds + PROOF_TEST_SECONDS },
    refused: null,
    entry: `confirmed that no power can be made; read back ${describeLines(scene.relay)}`,
  };
}

function confirmPermitted(proof: ProofTest, scene: ProofScene): ProofOutcome {
  if (proof.step !== "permitted") return refuse(proof, "the lines are not permitted for a test");
  if (scene.relay === null || agrees(BOTH, scene.relay) !== true) {
    return {
      proof: idle(proof),
      refused: "failed",
      entry: `failed: read back ${describeLines(scene.relay)} while permitted`,
    };
  }
  const dated = scene.wallSeconds === null ? "; the clock is not trusted, so no date is kept" : "";
  return {
    proof: { ...idle(proof), lastWallSeconds: scene.wallSeconds ?? proof.lastWallSeconds },
    refused: null,
    entry: `passed; read back before: ${describeLines(proof.before)}; after: ${describeLines(scene.relay)}${dated}`,
  };
}

/** What an operator's step does. */
export function askProofTest(proof: ProofTest, step: ProofStep, scene: ProofScene): ProofOutcome {
  switch (step) {
    case "begin":
      return beginTest(proof, scene);
    case "confirm released":
      return confirmReleased(proof, scene);
    case "confirm permitted":
      return confirmPermitted(proof, scene);
    case "abandon":
      if (proof.step === "idle") return refuse(proof, "no proof test is running");
      return { proof: idle(proof), refused: null, entry: `abandoned; read back ${describeLines(scene.relay)}` };
  }
}

/** One cycle: ends a test that has run out of time or lost its stage. `entry` null = nothing happened. */
export function advanceProofTest(
  proof: ProofTest,
  scene: ProofScene,
): { readonly proof: ProofTest; readonly entry: string | null } {
  let next = proof;
  if (proof.firstWallSeconds === null && scene.wallSeconds !== null) {
    next = { ...proof, firstWallSeconds: scene.wallSeconds };
  }
  if (next.step === "idle") return { proof: next, entry: null };
  if (scene.stage !== "full") return { proof: idle(next), entry: `ended: the power stage fell to ${scene.stage}` };
  if (next.untilSeconds === null || scene.nowSeconds >= next.untilSeconds) {
    return { proof: idle(next), entry: `ended: nobody went on for ${PROOF_TEST_SECONDS} s` };
  }
  return { proof: next, entry: null };
}

/** Wall time at which the next test is due; null while no trusted time has been seen. */
export function proofDueWallSeconds(proof: ProofTest, intervalDays: number): number | null {
  if (proof.lastWallSeconds !== null) return proof.lastWallSeconds + intervalDays * DAY_SECONDS;
  return proof.firstWallSeconds === null ? null : proof.firstWallSeconds + FIRST_TEST_DAYS * DAY_SECONDS;
}

const INSTRUCTIONS = {
  idle: "",
  released:
    "Both lines are released. Try to key the transmitter at low power into a dummy load: it must not make power. Then confirm, or abandon.",
  permitted:
    "Both lines are energised again. Key the transmitter at low power into a dummy load: it must make power. Then confirm, or abandon.",
} as const;

/** As the page and the command show it. */
export function proofStatus(proof: ProofTest, intervalDays: number): ProofTestStatus {
  return {
    step: proof.step,
    instruction: INSTRUCTIONS[proof.step],
    lastWallSeconds: proof.lastWallSeconds,
    dueWallSeconds: proofDueWallSeconds(proof, intervalDays),
  };
}
