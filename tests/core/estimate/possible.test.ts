// What a box can be: nothing that happens to one that is well is outside of it, and what a lying thermometer teaches is.

import { describe, expect, it } from "vitest";
import { LN_FLOW, NATURAL, SUN, WALL } from "../../../daemon/core/estimate/branch.ts";
import type { EstimatorState } from "../../../daemon/core/estimate/estimator.ts";
import { isPossible } from "../../../daemon/core/estimate/possible.ts";
import { DRIVEN, FREE } from "../../../daemon/core/estimate/state.ts";
import { Story } from "../../scenarios/story.ts";

const story = new Story();
let strayed = 0;
const look = ({ state: { estimator } }: Story): void => {
  if (estimator !== null && !isPossible(estimator)) strayed += 1;
};
for (const [watts, rpm, seconds] of [
  [0, 11_000, 300],
  [1500, 11_000, 1800],
  [700, 0, 900],
  [0, 11_000, 900],
  [0, 0, 300],
] as const) {
  Object.assign(story, { driveWatts: watts, rpm });
  story.run(seconds, look);
}

const held = (branch: number, what: number, value: number): EstimatorState => {
  const estimator = story.state.estimator!;
  const vector = estimator.vector.slice();
  vector[branch + what] = value;
  return { ...estimator, vector };
};

describe("a state of the filters", () => {
  it("is possible through key-down, stall and cooling", () => {
    expect(story.coreCelsius).toBeGreaterThan(25);
    expect(strayed).toBe(0);
  });

  it.each([
    ["vents that let a hundredth through", LN_FLOW, Math.log(0.01)],
    ["a hundred times the flow", LN_FLOW, Math.log(100)],
    ["natural convection that carries all away", NATURAL, 3],
    ["more sun than falls on a lid", SUN, 135],
    ["a wall colder than any night", WALL, -40],
    ["a hot wall that is no number", WALL, Number.NaN],
  ])("is not possible with %s, in either filter", (_, what, value) => {
    expect([DRIVEN, FREE].map((branch) => isPossible(held(branch, what, value)))).toEqual([false, false]);
  });
});
