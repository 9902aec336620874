// Power-cycling a stalled fan: bounded attempts, each with an end, earned back by a fan that turns.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { FanVerdict } from "../../../daemon/core/effects.ts";
import { advancePowerCycle, type PowerCycle, UNTRIED } from "../../../daemon/core/protect/power-cycle.ts";

// The same histories every time: a failure is found once and then for everybody.
fc.configureGlobal({ seed: 8373 });

const SETTINGS = { attempts: 3, offSeconds: 4, waitSeconds: 30 };

function over(seconds: number, verdict: FanVerdict, from = UNTRIED, start = 0): { cycle: PowerCycle; offs: number[] } {
  let cycle = from;
  const offs: number[] = [];
  for (let second = start; second < start + seconds; second += 1) {
    cycle = advancePowerCycle(SETTINGS, cycle, verdict, start, second);
    if (cycle.offUntilSeconds !== null) offs.push(second);
  }
  return { cycle, offs };
}

describe("power-cycling", () => {
  it("cuts the supply of a stalled fan for its time, waits, and tries again, so many times and no more", () => {
    const { cycle, offs } = over(1000, "stalled");
    expect(cycle.attempts).toBe(3);
    expect(offs).toEqual([0, 1, 2, 3, 34, 35, 36, 37, 68, 69, 70, 71]);
  });

  it("does nothing without a switch line, or to a fan that turns", () => {
    expect(advancePowerCycle(null, UNTRIED, "stalled", 0, 10)).toBe(UNTRIED);
    expect(over(100, "turning").cycle).toBe(UNTRIED);
  });

  it("gives the attempts back only after the fan has turned for ten minutes", () => {
    const { cycle } = over(1000, "stalled");
    expect(over(600, "turning", cycle, 1000).cycle.attempts).toBe(3);
    expect(over(602, "turning", cycle, 1000).cycle.attempts).toBe(0);
  });

  it("never leaves the fan without supply for longer than one attempt", () => {
    const verdict = fc.constantFrom<FanVerdict>(
      "stalled",
      "turning",
      "starting",
      "doubtful",
      "unknown",
      "off on purpose",
    );
    fc.assert(
      fc.property(fc.array(verdict, { maxLength: 200 }), (verdicts) => {
        let cycle = UNTRIED;
        let off = 0;
        verdicts.forEach((one, second) => {
          cycle = advancePowerCycle(SETTINGS, cycle, one, second, second);
          off = cycle.offUntilSeconds === null ? 0 : off + 1;
          expect(off).toBeLessThanOrEqual(SETTINGS.offSeconds);
          expect(cycle.attempts).toBeLessThanOrEqual(SETTINGS.attempts);
        });
      }),
    );
  });
});
