// Votes: which cause each channel and the fan set, with margins, deadbands and graces.

import { describe, expect, it } from "vitest";
import {
  CAUSE,
  demands,
  describeCauses,
  type HeldBefore,
  INHIBITING,
  NEVER_BYPASSED,
  REDUCING,
  type Voters,
} from "../../../daemon/core/protect/causes.ts";
import { ESTIMATE, SETTINGS, TURNING } from "./fixtures.ts";

const { limits } = SETTINGS;
const NOW = 1000;
const FRESH: HeldBefore = { reduced: false, inhibited: false };
const QUIET: Voters = {
  estimate: ESTIMATE,
  usableSeconds: NOW,
  witness: { probeCelsius: null, sumCelsius: 25, bad: false },
  witnessBadSeconds: null,
  outletCelsius: 24,
  fan: TURNING,
};
const vote = (part: Partial<Voters>, held = FRESH): number => demands(limits, { ...QUIET, ...part }, held, NOW);
const bound = (coreUpperCelsius: number): Partial<Voters> => ({ estimate: { ...ESTIMATE, coreUpperCelsius } });
const balance = (sumCelsius: number): Partial<Voters> => ({ witness: { probeCelsius: null, sumCelsius, bad: false } });
const probe = (probeCelsius: number): Partial<Voters> => ({ witness: { probeCelsius, sumCelsius: null, bad: false } });
const both = CAUSE.boundAtLimit | CAUSE.boundHigh;

describe("votes", () => {
  it.each<[string, Partial<Voters>, number]>([
    ["all is well", {}, 0],
    ["the bound below the reduce point", bound(99.9), 0],
    ["the bound at the reduce point", bound(100), CAUSE.boundHigh],
    ["the bound at the limit", bound(110), both],
    ["a bound that is no number", bound(Number.NaN), both],
    ["an infinite bound", bound(Number.POSITIVE_INFINITY), both],
    ["no estimate yet", { ...bound(200), usableSeconds: null }, CAUSE.beginning],
    ["an estimate just within its grace", { usableSeconds: NOW - limits.estimateGraceSeconds }, 0],
    ["an estimate older than its grace", { usableSeconds: NOW - limits.estimateGraceSeconds - 0.1 }, CAUSE.noEstimate],
    ["a heat balance within its margin", balance(119), 0],
    ["a heat balance beyond its margin", balance(120), CAUSE.witnessHigh],
    ["a heat balance far beyond the limit", balance(130), CAUSE.witnessAtLimit | CAUSE.witnessHigh],
    ["a probe at the reduce point", probe(100), CAUSE.witnessHigh],
    ["a probe at the limit", probe(110), CAUSE.witnessAtLimit | CAUSE.witnessHigh],
    [
      "a probe that fell off beside a hot sum",
      { witness: { probeCelsius: 20, sumCelsius: 125, bad: false } },
      CAUSE.witnessHigh,
    ],
    ["hot outlet air", { outletCelsius: 65 }, CAUSE.outletHigh],
    ["outlet air at its limit", { outletCelsius: 80 }, CAUSE.outletAtLimit | CAUSE.outletHigh],
    ["no outlet", { outletCelsius: null }, 0],
    ["a stalled fan, at once", { fan: { ...TURNING, verdict: "stalled" } }, CAUSE.fanStalled],
    ["a fan off on purpose", { fan: { ...TURNING, verdict: "off on purpose" } }, CAUSE.fanOff],
    ["a slow fan", { fan: { ...TURNING, verdict: "slow" } }, 0],
    ["a doubtful fan within the grace", { fan: { ...TURNING, verdict: "doubtful", doubtSeconds: NOW - 29 } }, 0],
    [
      "a doubtful fan beyond the grace",
      { fan: { ...TURNING, verdict: "doubtful", doubtSeconds: NOW - 30 } },
      CAUSE.fanDoubtful,
    ],
    ["no fan watched", { fan: null }, 0],
    ["a bad witness within the grace", { witnessBadSeconds: NOW - 29 }, 0],
    ["a bad witness beyond the grace", { witnessBadSeconds: NOW - 30 }, CAUSE.witnessBad],
  ])("%s", (_, voters, expected) => {
    expect(vote(voters)).toBe(expected);
  });

  it("hold on to the bound until the reset point once they have reduced", () => {
    const held: HeldBefore = { reduced: true, inhibited: false };
    expect(vote(bound(85), held)).toBe(CAUSE.boundHigh);
    expect(vote(bound(84.9), held)).toBe(0);
  });

  it("hold on to the limit for its deadband once they have tripped", () => {
    const held: HeldBefore = { reduced: true, inhibited: true };
    expect(vote(bound(105), held) & CAUSE.boundAtLimit).toBe(CAUSE.boundAtLimit);
    expect(vote(bound(104.9), held) & CAUSE.boundAtLimit).toBe(0);
    expect(vote(probe(106), held) & CAUSE.witnessAtLimit).toBe(CAUSE.witnessAtLimit);
    expect(vote({ outletCelsius: 76 }, held) & CAUSE.outletAtLimit).toBe(CAUSE.outletAtLimit);
  });
});

describe("votes at the beginning", () => {
  it("have the limit's deadband, because nothing is permitted yet, but not that of the reduce point", () => {
    const held: HeldBefore = { reduced: false, inhibited: true };
    expect(vote(bound(99), held)).toBe(0);
    expect(vote(bound(106), held)).toBe(both);
  });
});

describe("causes", () => {
  const all = Object.values(CAUSE);

  it("are one bit each, and each either reduces or takes the power off", () => {
    expect(all.reduce((sum, bit) => sum + bit, 0)).toBe(2 ** all.length - 1);
    expect(INHIBITING & REDUCING).toBe(0);
    expect(INHIBITING | REDUCING).toBe(2 ** all.length - 1);
  });

  it("that nothing may bypass all take the power off", () => {
    expect(NEVER_BYPASSED & INHIBITING).toBe(NEVER_BYPASSED);
  });

  it.each(Object.entries(CAUSE))("%s has words of its own", (_, bit) => {
    const words = describeCauses(limits, bit);
    expect(words).toHaveLength(1);
    expect(all.filter((other) => describeCauses(limits, other)[0] === words[0])).toEqual([bit]);
  });

  it("say the limit and not the reduce point when both are passed", () => {
    expect(describeCauses(limits, both)).toEqual(["the core's upper bound is at the limit of 110 °C"]);
  });
});
