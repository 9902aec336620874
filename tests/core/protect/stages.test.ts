// Power stages: minimum time, latch, reset, bypass, and what must hold for every history of demands.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  CAUSE,
  demands,
  INHIBITING,
  NEVER_BYPASSED,
  REDUCING,
  type Voters,
} from "../../../daemon/core/protect/causes.ts";
import { advanceStage, beginStage, permitsOf, type Stage, withBypass } from "../../../daemon/core/protect/stages.ts";
import { ESTIMATE, SETTINGS, TURNING } from "./fixtures.ts";

// The same histories every time: a failure is found once and then for everybody.
fc.configureGlobal({ seed: 8373 });

const { limits } = SETTINGS;
const begin = (latched = false): Stage => beginStage(limits, latched, 0);
const advance = (stage: Stage, causes: number, nowSeconds: number, reset = false): Stage =>
  advanceStage(limits, stage, causes, reset, nowSeconds);
/** A stage that has been full since second 1. */
const full = (): Stage => advance(begin(), 0, 1);

describe("the beginning", () => {
  it("is inhibited, released and not latched", () => {
    expect([begin().stage, begin().latched]).toEqual(["inhibited", false]);
    expect(begin().reasons).toEqual(["waiting for the first usable estimate"]);
  });

  it("ends by itself with the first usable estimate", () => {
    expect(full().stage).toBe("full");
    expect(advance(begin(), CAUSE.fanStalled, 1).stage).toBe("reduced");
  });

  it("waits while the core is too hot to begin", () => {
    const hot = advance(begin(), CAUSE.boundAtLimit | CAUSE.boundHigh, 1);
    expect([hot.stage, hot.latched]).toEqual(["inhibited", false]);
    expect(advance(hot, CAUSE.boundHigh, 2).stage).toBe("reduced");
  });

  it("keeps the trip of the last run", () => {
    const tripped = begin(true);
    expect(advance(tripped, 0, 5000).stage).toBe("inhibited");
    expect(advance(tripped, 0, 5000, true).stage).toBe("full");
  });
});

describe("reduced", () => {
  it("comes at once and stays for its minimum time", () => {
    const reduced = advance(full(), CAUSE.fanStalled, 100);
    expect(reduced.reasons).toEqual(["the fan has stalled"]);
    const waiting = advance(reduced, 0, 100 + limits.minimumReducedSeconds - 1);
    expect(waiting.stage).toBe("reduced");
    expect(waiting.reasons).toEqual([`stays reduced for at least ${limits.minimumReducedSeconds} s`]);
    expect(advance(waiting, 0, 100 + limits.minimumReducedSeconds).stage).toBe("full");
  });

  it("does not count its minimum time anew for another cause", () => {
    const reduced = advance(advance(full(), CAUSE.fanStalled, 100), CAUSE.boundHigh, 150);
    expect(reduced.sinceSeconds).toBe(100);
  });
});

describe("inhibited", () => {
  const tripped = advance(full(), CAUSE.boundAtLimit | CAUSE.boundHigh, 100);

  it("latches and says why", () => {
    expect([tripped.stage, tripped.latched]).toEqual(["inhibited", true]);
    expect(tripped.reasons[0]).toBe("the core's upper bound is at the limit of 110 °C");
    const gone = advance(tripped, 0, 5000);
    expect(gone.stage).toBe("inhibited");
    expect(gone.reasons).toEqual([
      "tripped because the core's upper bound is at the limit of 110 °C",
      "waiting for the operator's reset",
    ]);
  });

  it("is reset by the operator, and only once the cause has gone", () => {
    expect(advance(tripped, CAUSE.boundAtLimit, 200, true).stage).toBe("inhibited");
    expect(advance(tripped, CAUSE.boundHigh, 200, true).stage).toBe("reduced");
    const reset = advance(tripped, 0, 200, true);
    expect([reset.stage, reset.latched, reset.tripCauses]).toEqual(["full", false, 0]);
  });

  it.each(Object.entries(CAUSE).filter(([, bit]) => (INHIBITING & bit) !== 0))("comes from %s", (_, bit) => {
    expect(advance(full(), bit, 100)).toMatchObject({ stage: "inhibited", latched: true });
  });

  it.each(Object.entries(CAUSE).filter(([, bit]) => (REDUCING & bit) !== 0))("does not come from %s", (_, bit) => {
    expect(advance(full(), bit, 100)).toMatchObject({ stage: "reduced", latched: false });
  });
});

describe("bypass", () => {
  it("covers the votes that it may cover, for its time", () => {
    const bypassed = withBypass(limits, full(), 500);
    expect(advance(bypassed, CAUSE.fanStalled | CAUSE.boundHigh, 499).stage).toBe("full");
    const ended = advance(bypassed, CAUSE.fanStalled, 500);
    expect([ended.stage, ended.bypassedUntilSeconds]).toEqual(["reduced", null]);
  });

  it.each([CAUSE.noEstimate, CAUSE.boundAtLimit, CAUSE.beginning])("never covers cause %d", (cause) => {
    expect(advance(withBypass(limits, full(), 500), cause, 100).stage).toBe("inhibited");
  });

  it("ends the minimum time of reduced, but never a latch", () => {
    const reduced = advance(full(), CAUSE.fanStalled, 100);
    expect(advance(withBypass(limits, reduced, 500), CAUSE.fanStalled, 101).stage).toBe("full");
    const tripped = advance(full(), CAUSE.witnessAtLimit, 100);
    const bypassed = advance(withBypass(limits, tripped, 500), CAUSE.witnessAtLimit, 101);
    expect(bypassed.stage).toBe("inhibited");
    expect(advance(bypassed, CAUSE.witnessAtLimit, 102, true).stage).toBe("full");
  });
});

describe("permits", () => {
  it("are energised only as far as the stage goes", () => {
    expect(permitsOf("full")).toEqual({ reduce: true, inhibit: true });
    expect(permitsOf("reduced")).toEqual({ reduce: false, inhibit: true });
    expect(permitsOf("inhibited")).toEqual({ reduce: false, inhibit: false });
  });
});

describe("every history", () => {
  const bits = Object.values(CAUSE);
  const moment = fc.record({
    causes: fc.subarray(bits).map((some) => some.reduce((sum, bit) => sum | bit, 0)),
    reset: fc.boolean(),
    elapsed: fc.double({ min: 0, max: 300, noNaN: true }),
    bypass: fc.option(fc.double({ min: 1, max: 400, noNaN: true }), { freq: 6 }),
  });
  const history = fc.array(moment, { minLength: 1, maxLength: 50 });
  const severity = { full: 0, reduced: 1, inhibited: 2 } as const;

  it("leaves a latched trip only by a reset, and only when nothing that counts demands it", () => {
    fc.assert(
      fc.property(history, (moments) => {
        let stage = full();
        let now = 1;
        for (const { causes, reset, elapsed, bypass } of moments) {
          now += elapsed;
          if (bypass !== null) stage = withBypass(limits, stage, now + bypass);
          const next = advance(stage, causes, now, reset);
          if (stage.latched && next.stage !== "inhibited") {
            expect(reset).toBe(true);
            expect(causes & NEVER_BYPASSED).toBe(0);
          }
          if ((causes & NEVER_BYPASSED) !== 0) expect(next.stage).toBe("inhibited");
          if (bypass === null && stage.bypassedUntilSeconds === null) {
            if ((causes & INHIBITING) !== 0) expect(next.stage).toBe("inhibited");
            if ((causes & REDUCING) !== 0) expect(next.stage).not.toBe("full");
          }
          expect(next.stage === "full").toBe(next.reasons.length === 0);
          stage = next;
        }
      }),
    );
  });

  it("ends every bypass at its time", () => {
    fc.assert(
      fc.property(history, (moments) => {
        let stage = full();
        let now = 1;
        let until = 0;
        for (const { causes, reset, elapsed, bypass } of moments) {
          now += elapsed;
          if (bypass !== null) {
            until = now + bypass;
            stage = withBypass(limits, stage, until);
          }
          stage = advance(stage, causes, now, reset);
          expect(stage.bypassedUntilSeconds !== null).toBe(now < until);
        }
      }),
    );
  });

  it("never permits more at a higher upper bound", () => {
    const voters = (coreUpperCelsius: number): Voters => ({
      estimate: { ...ESTIMATE, coreUpperCelsius },
      usableSeconds: 0,
      witness: { probeCelsius: null, sumCelsius: null, bad: false },
      witnessBadSeconds: null,
      outletCelsius: null,
      fan: TURNING,
    });
    const celsius = fc.double({ min: -40, max: 200, noNaN: true });
    fc.assert(
      fc.property(
        fc.constantFrom("full", "reduced", "inhibited", "beginning"),
        celsius,
        celsius,
        fc.boolean(),
        fc.double({ min: 0, max: 300, noNaN: true }),
        (name, one, other, reset, elapsed) => {
          const before: Stage = {
            ...full(),
            stage: name === "beginning" ? "inhibited" : name,
            latched: name === "inhibited",
          };
          const held = { reduced: before.stage === "reduced", inhibited: before.stage === "inhibited" };
          const [low, high] = [Math.min(one, other), Math.max(one, other)].map(
            (upper) => advance(before, demands(limits, voters(upper), held, 0), 1 + elapsed, reset).stage,
          );
          expect(severity[high!]).toBeGreaterThanOrEqual(severity[low!]);
        },
      ),
    );
  });

  it("hands back the same object while nothing changes", () => {
    const stage = full();
    expect(advance(stage, 0, 2)).toBe(stage);
    const reduced = advance(stage, CAUSE.boundHigh, 3);
    expect(advance(reduced, CAUSE.boundHigh, 4)).toBe(reduced);
  });
});
