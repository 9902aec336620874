// The guided proof test: every step asked in every state, failures, deadlines and dates.

import { describe, expect, it } from "vitest";
import {
  advanceProofTest,
  askProofTest,
  describeLines,
  FIRST_TEST_DAYS,
  NO_PROOF,
  PROOF_TEST_SECONDS,
  type ProofScene,
  type ProofStep,
  type ProofTest,
  proofDueWallSeconds,
  proofStatus,
} from "../../../daemon/core/protect/proof-test.ts";

const BOTH = { reduce: true, inhibit: true };
const NONE = { reduce: false, inhibit: false };
const READY: ProofScene = { stage: "full", relay: BOTH, transmitting: false, wallSeconds: 5e8, nowSeconds: 100 };
const RELEASED: ProofTest = { ...NO_PROOF, step: "released", untilSeconds: 700, before: BOTH };
const PERMITTED: ProofTest = { ...RELEASED, step: "permitted" };
const DAY = 86_400;

describe("asking", () => {
  it.each<[ProofTest["step"], ProofStep, ProofTest["step"], boolean]>([
    ["idle", "begin", "released", true],
    ["idle", "confirm released", "idle", false],
    ["idle", "confirm permitted", "idle", false],
    ["idle", "abandon", "idle", false],
    ["released", "begin", "released", false],
    ["released", "confirm released", "permitted", true],
    ["released", "confirm permitted", "released", false],
    ["released", "abandon", "idle", true],
    ["permitted", "begin", "permitted", false],
    ["permitted", "confirm released", "permitted", false],
    ["permitted", "confirm permitted", "idle", true],
    ["permitted", "abandon", "idle", true],
  ])("%s, %s → %s, accepted %s", (from, step, to, accepted) => {
    const proof = { idle: NO_PROOF, released: RELEASED, permitted: PERMITTED }[from];
    const scene = from === "released" ? { ...READY, relay: NONE } : READY;
    const outcome = askProofTest(proof, step, scene);
    expect(outcome.proof.step).toBe(to);
    expect(outcome.refused === null).toBe(accepted);
    expect(outcome.entry.startsWith("refused")).toBe(!accepted);
  });

  it.each<[string, Partial<ProofScene>]>([
    ["no relay is fitted", { relay: null }],
    ["the transmitter is keyed", { transmitting: true }],
    ["the power stage is reduced", { stage: "reduced" }],
    ["the power stage is inhibited", { stage: "inhibited" }],
  ])("does not begin when %s", (why, part) => {
    expect(askProofTest(NO_PROOF, "begin", { ...READY, ...part }).refused).toContain(why);
  });

  it.each([
    ["released", RELEASED, "confirm released", { reduce: false, inhibit: true }],
    ["released", RELEASED, "confirm released", { reduce: false, inhibit: null }],
    ["permitted", PERMITTED, "confirm permitted", { reduce: true, inhibit: false }],
    ["permitted", PERMITTED, "confirm permitted", { reduce: null, inhibit: true }],
  ] as const)("fails, and keeps no date, when a line of the %s step reads otherwise", (_, proof, step, relay) => {
    const outcome = askProofTest(proof, step, { ...READY, relay });
    expect(outcome.refused).toBe("failed");
    expect(outcome.proof).toMatchObject({ step: "idle", lastWallSeconds: null });
    expect(outcome.entry).toContain(describeLines(relay));
  });
});

describe("passing", () => {
  it("keeps the date and records what was read back before and after", () => {
    const begun = askProofTest(NO_PROOF, "begin", READY).proof;
    const released = askProofTest(begun, "confirm released", { ...READY, relay: NONE }).proof;
    const { proof, entry } = askProofTest(released, "confirm permitted", READY);
    expect(proof.lastWallSeconds).toBe(5e8);
    expect(entry).toBe(
      "passed; read back before: reduce energised, inhibit energised; after: reduce energised, inhibit energised",
    );
  });

  it("keeps no date by a clock that is not trusted, and says so", () => {
    const { proof, entry } = askProofTest({ ...PERMITTED, lastWallSeconds: 7 }, "confirm permitted", {
      ...READY,
      wallSeconds: null,
    });
    expect(proof.lastWallSeconds).toBe(7);
    expect(entry).toContain("no date is kept");
  });
});

describe("time", () => {
  it("ends a test that nobody goes on with", () => {
    const begun = askProofTest(NO_PROOF, "begin", READY).proof;
    const last = { ...READY, nowSeconds: 100 + PROOF_TEST_SECONDS };
    expect(advanceProofTest(begun, { ...last, nowSeconds: last.nowSeconds - 1 }).proof.step).toBe("released");
    expect(advanceProofTest(begun, last)).toMatchObject({
      proof: { step: "idle" },
      entry: expect.stringContaining("nobody"),
    });
  });

  it("ends a test whose stage falls", () => {
    expect(advanceProofTest(RELEASED, { ...READY, stage: "inhibited" })).toMatchObject({
      proof: { step: "idle" },
      entry: "ended: the power stage fell to inhibited",
    });
  });

  it("makes the first test due soon after the first trusted date, the next a whole interval later", () => {
    expect(proofDueWallSeconds(NO_PROOF, 365)).toBeNull();
    const { proof } = advanceProofTest(NO_PROOF, READY);
    expect(proofDueWallSeconds(proof, 365)).toBe(5e8 + FIRST_TEST_DAYS * DAY);
    expect(advanceProofTest(proof, { ...READY, wallSeconds: 6e8 }).proof.firstWallSeconds).toBe(5e8);
    expect(proofDueWallSeconds({ ...proof, lastWallSeconds: 6e8 }, 365)).toBe(6e8 + 365 * DAY);
  });
});

describe("what is shown", () => {
  it("tells the operator what to do in each step", () => {
    expect(proofStatus(NO_PROOF, 365).instruction).toBe("");
    expect(proofStatus(RELEASED, 365).instruction).toContain("must not make power");
    expect(proofStatus(PERMITTED, 365).instruction).toContain("must make power");
  });

  it("names lines that cannot be read", () => {
    expect(describeLines({ reduce: null, inhibit: false })).toBe("reduce not readable, inhibit released");
    expect(describeLines(null)).toBe("no relay");
  });
});
