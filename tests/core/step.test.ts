// step() as a whole: what must hold for every history of readings and requests, and that it is pure.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Effects } from "../../daemon/core/effects.ts";
import { good } from "../../daemon/core/readings.ts";
import {
  beginState,
  type Checkpoint,
  checkpointState,
  parseCheckpoint,
  type State,
  step,
} from "../../daemon/core/step.ts";
import { FAN, programWith, READINGS, SETTINGS } from "./protect/fixtures.ts";
import { history, type Moment, tags } from "./protect/histories.ts";

// The same histories every time: a failure is found once and then for everybody.
fc.configureGlobal({ seed: 8373 });

const program = programWith();
const { limits, alarms } = SETTINGS;

type Turn = { readonly before: State; readonly after: State; readonly effects: Effects; readonly moment: Moment };

/** Every cycle of a history, `check`ed as it happens. */
function live(moments: readonly Moment[], check: (turn: Turn) => void, checkpoint: Checkpoint | null = null): State {
  let state = beginState(program, checkpoint, 0);
  let now = 0;
  for (const one of moments) {
    now += one.elapsed;
    if (Number.isNaN(now)) now = state.atSeconds;
    const { state: after, effects } = step(
      program,
      state,
      one.readings,
      one.commands,
      one.elapsed >= 0 ? now : one.elapsed,
    );
    check({ before: state, after, effects, moment: one });
    state = after;
    now = state.atSeconds;
  }
  return state;
}
const RUNS = { numRuns: 100 };

describe("every history", () => {
  it("energises no line without a usable estimate that is fresh", () => {
    fc.assert(
      fc.property(history, (moments) => {
        let usableAt: number | null = null;
        live(moments, ({ after, effects: { permits, outlook } }) => {
          if (outlook.estimate.usable) usableAt = after.atSeconds;
          if (!permits.inhibit && !permits.reduce) return;
          expect(usableAt).not.toBeNull();
          expect(after.atSeconds - usableAt!).toBeLessThanOrEqual(limits.estimateGraceSeconds);
        });
      }),
      RUNS,
    );
  });

  it("energises no line above the limit, bypass or not", () => {
    fc.assert(
      fc.property(history, (moments) => {
        live(moments, ({ effects: { permits, outlook } }) => {
          if (outlook.estimate.coreUpperCelsius < limits.limitCelsius) return;
          expect(permits).toEqual({ reduce: false, inhibit: false });
        });
      }),
      RUNS,
    );
  });

  it("leaves a trip only by a reset", () => {
    fc.assert(
      fc.property(history, (moments) => {
        live(moments, ({ before, after, moment }) => {
          if (!before.stage.latched || after.stage.latched) return;
          expect(moment.commands.map((command) => command.action.kind)).toContain("reset");
        });
      }),
      RUNS,
    );
  });

  it("gives lines that follow from the stage, and reasons and an entry for every stage", () => {
    fc.assert(
      fc.property(history, (moments) => {
        live(moments, ({ before, effects: { permits, outlook, record } }) => {
          const testing = outlook.proofTest.step === "released";
          expect(permits.inhibit).toBe(outlook.stage !== "inhibited" && !testing);
          expect(permits.reduce).toBe(outlook.stage === "full" && !testing);
          expect(outlook.reasons.length > 0).toBe(outlook.stage !== "full");
          const entries = record.filter(({ kind }) => kind === "stage");
          expect(entries).toHaveLength(before.stage.stage === outlook.stage ? 0 : 1);
        });
      }),
      RUNS,
    );
  });

  it("ends every bypass, shelving and time off within its longest", () => {
    fc.assert(
      fc.property(history, (moments) => {
        live(moments, ({ after, effects: { outlook } }) => {
          const now = after.atSeconds;
          const longest = (until: number | null, most: number): void => {
            if (until !== null) expect(until > now && until - now <= most).toBe(true);
          };
          longest(outlook.bypassedUntilSeconds, limits.longestBypassSeconds);
          longest(after.fanOffUntilSeconds, SETTINGS.fan.longestOffSeconds);
          for (const { state, untilSeconds } of outlook.alarms) {
            expect(untilSeconds !== null).toBe(state === "shelved");
            longest(untilSeconds, alarms.longestShelvingSeconds);
          }
        });
      }),
      RUNS,
    );
  });

  it("answers and records every request, and every change of an alarm", () => {
    fc.assert(
      fc.property(history, (moments) => {
        live(moments, ({ before, after, effects, moment }) => {
          expect(effects.answers).toHaveLength(moment.commands.length);
          expect(effects.record.filter(({ kind }) => kind === "command")).toHaveLength(moment.commands.length);
          const told = new Set(effects.record.filter(({ kind }) => kind === "alarm").map((entry) => entry.tag));
          tags.forEach((one, index) => {
            if (before.alarms[index]!.state !== after.alarms[index]!.state) expect(told).toContain(one);
          });
          for (const { text } of effects.record) expect(text).not.toMatch(/undefined|\[object/);
        });
      }),
      RUNS,
    );
  });

  it("shows no reading fresh that is not, and none that is no number", () => {
    fc.assert(
      fc.property(history, (moments) => {
        live(moments, ({ effects: { outlook }, moment }) => {
          for (const name of ["inlet", "outlet", "wall", "ambient"] as const) {
            const shown = outlook.readings[name];
            const read = moment.readings[name];
            expect(shown === null).toBe(read === null);
            if (shown !== null && shown.value !== null) expect(shown.value).toBe(read?.value);
            if (read?.quality === "bad") expect(shown).toEqual(read);
            expect(shown?.value == null || Number.isFinite(shown.value)).toBe(true);
          }
        });
      }),
      RUNS,
    );
  });

  it("can be ended and begun again at any point, the trip standing", () => {
    fc.assert(
      fc.property(history, history, (first, second) => {
        const state = live(first, () => {});
        const checkpoint = parseCheckpoint(JSON.parse(JSON.stringify(checkpointState(program, state))));
        expect(checkpoint).not.toBeNull();
        const quiet = second.map((one) => ({ ...one, commands: [] }));
        live(
          quiet,
          ({ effects }) => {
            if (state.stage.latched) expect(effects.permits).toEqual({ reduce: false, inhibit: false });
          },
          checkpoint,
        );
      }),
      { numRuns: 40 },
    );
  });
});

// ── Purity ─────────────────────────────────────────────────────────────────────────────────────────────────────────

/** Freezes everything but typed arrays, which cannot be; their contents are compared instead. */
function freeze<T>(value: T): T {
  if (typeof value !== "object" || value === null || Object.isFrozen(value) || ArrayBuffer.isView(value)) return value;
  Object.freeze(value);
  for (const part of Object.values(value)) freeze(part);
  return value;
}

describe("purity", () => {
  it("changes neither state nor readings nor commands, and gives the same for the same", () => {
    fc.assert(
      fc.property(history, (moments) => {
        live(moments, ({ before, effects, moment }) => {
          const vector = before.estimator?.vector.slice();
          const { compiled: _, ...estimator } = before.estimator ?? { compiled: null };
          freeze(estimator);
          const { estimator: __, ...rest } = before;
          freeze(rest);
          freeze(moment);
          const now = moment.elapsed >= 0 ? before.atSeconds + moment.elapsed : moment.elapsed;
          const again = step(program, before, moment.readings, moment.commands, now);
          expect(again.effects).toEqual(effects);
          expect(before.estimator?.vector).toEqual(vector);
        });
      }),
      { numRuns: 30 },
    );
  });

  it("hands back what has not changed", () => {
    let state = beginState(program, null, 0);
    for (let second = 1; second <= 60; second += 1) ({ state } = step(program, state, READINGS, [], second));
    const { state: next, effects } = step(program, state, READINGS, [], 61);
    expect(next.alarms).toBe(state.alarms);
    expect(next.stage).toBe(state.stage);
    expect(next.relay).toBe(state.relay);
    expect(next.proof).toBe(state.proof);
    expect(effects.record).toEqual([]);
  });
});

describe("filters that have lost their numbers", () => {
  it("are begun anew in the same cycle, told once, and nothing that is no number is shown", () => {
    let state = beginState(program, null, 0);
    for (let second = 1; second <= 60; second += 1) ({ state } = step(program, state, READINGS, [], second));
    const { estimator } = state;
    const poisoned = {
      ...state,
      estimator: estimator && { ...estimator, vector: estimator.vector.map(() => Number.NaN) },
    };
    const { state: healed, effects } = step(program, poisoned, READINGS, [], 61);
    expect(Number.isFinite(effects.outlook.estimate.coreUpperCelsius)).toBe(true);
    expect(effects.outlook.stage).not.toBe("inhibited");
    expect(effects.record.map((entry) => entry.tag)).toContain("estimate_lost");
    expect(step(program, healed, READINGS, [], 62).effects.record.map((entry) => entry.tag)).not.toContain(
      "estimate_lost",
    );
  });
});

describe("a configuration without a fan", () => {
  it("judges no fan and votes for none", () => {
    const still = programWith({ fan: null });
    let state = beginState(still, null, 0);
    let effects: Effects | null = null;
    const stopped = { ...FAN, rpm: good(0), secondsSinceEdge: 60 };
    for (let second = 1; second <= 60; second += 1) {
      ({ state, effects } = step(still, state, { ...READINGS, fan: stopped }, [], second));
    }
    expect(effects?.outlook.fan).toBe("unknown");
    expect(effects?.outlook.stage).toBe("full");
    expect(effects?.outlook.reactionSeconds).toBeNull();
  });
});
