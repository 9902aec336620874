// step() as a whole: what must hold for every history of readings and requests, and that it is pure.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Action, Command } from "../../daemon/core/commands.ts";
import type { Effects } from "../../daemon/core/effects.ts";
import { rationaliseAlarms } from "../../daemon/core/protect/alarm-list.ts";
import { bad, good, type Reading, type Readings, suspect } from "../../daemon/core/readings.ts";
import {
  beginState,
  type Checkpoint,
  checkpointState,
  parseCheckpoint,
  type State,
  step,
} from "../../daemon/core/step.ts";
import { FAN, programWith, READINGS, SETTINGS, UPKEEP } from "./protect/fixtures.ts";

// The same histories every time: a failure is found once and then for everybody.
fc.configureGlobal({ seed: 8373 });

const program = programWith();
const { limits, alarms } = SETTINGS;
const tags = rationaliseAlarms(SETTINGS).map(({ tag }) => tag);

// ── Histories ──────────────────────────────────────────────────────────────────────────────────────────────────────

const celsius = fc.oneof(
  { weight: 8, arbitrary: fc.double({ min: 15, max: 35, noNaN: true }) },
  { weight: 2, arbitrary: fc.double({ min: -40, max: 120, noNaN: true }) },
  { weight: 1, arbitrary: fc.constantFrom(Number.NaN, Number.POSITIVE_INFINITY, 85, -256, 1e9) },
);
const code = fc.constantFrom("NACK", "TIMEOUT", "CRC", "BUS_STUCK", "NOT_READY", "IRREGULAR", "NO_EDGES");
const reading: fc.Arbitrary<Reading> = fc.oneof(
  { weight: 6, arbitrary: celsius.map(good) },
  { weight: 1, arbitrary: celsius.map((value) => suspect(value, "JUMP")) },
  { weight: 2, arbitrary: code.map(bad) },
);
const fitted = fc.option(reading, { freq: 8 });
const rpm: fc.Arbitrary<Reading> = fc.oneof(fc.double({ min: 0, max: 30_000, noNaN: true }).map(good), code.map(bad));
const readings: fc.Arbitrary<Readings> = fc.record({
  inlet: fitted,
  outlet: fitted,
  wall: fitted,
  ambient: fitted,
  core: fc.option(reading, { freq: 1 }),
  humidityRatio: fc.option(fc.double({ min: 0, max: 1, noNaN: true }).map(good)),
  fan: fc.option(
    fc.record({
      rpm,
      regularity: fc.option(fc.double({ min: 0, max: 1, noNaN: true })),
      rejectedEdges: fc.nat(),
      secondsSinceEdge: fc.option(fc.double({ min: 0, max: 60, noNaN: true })),
    }),
    { freq: 8 },
  ),
  supplyVolts: fc.option(fc.double({ min: 0, max: 15, noNaN: true }).map(good)),
  supplyAmperes: fc.option(fc.double({ min: 0, max: 1, noNaN: true }).map(good)),
  drive: fc.option(
    fc.record({
      watts: fc.oneof(fc.double({ min: 0, max: 2000, noNaN: true }).map(good), code.map(bad)),
      frequencyHertz: fc.constantFrom(null, 3.6e6, 14e6),
      mode: fc.constant(null),
      transmitting: fc.constantFrom(null, true, false),
    }),
  ),
  relay: fc.option(
    fc.record({ reduce: fc.constantFrom(null, true, false), inhibit: fc.constantFrom(null, true, false) }),
  ),
  upkeep: fc.record({
    ...(Object.fromEntries(Object.entries(UPKEEP).map(([key, value]) => [key, fc.constant(value)])) as {
      [key in keyof typeof UPKEEP]: fc.Arbitrary<(typeof UPKEEP)[key]>;
    }),
    busStuck: fc.boolean(),
    logWritable: fc.boolean(),
    wallTrusted: fc.boolean(),
    sensorErrorsTransmitting: fc.nat(100),
  }),
});

const seconds = fc.oneof(fc.double({ min: -10, max: 1e6 }), fc.constantFrom(1, 60, 600));
const tag = fc.constantFrom(...tags, "no_such_alarm");
const action: fc.Arbitrary<Action> = fc.oneof(
  fc.constantFrom<Action>(
    { kind: "reset" },
    { kind: "end bypass" },
    { kind: "fan on again" },
    { kind: "fan replaced" },
  ),
  tag.map((one): Action => ({ kind: "acknowledge", tag: one })),
  fc.tuple(tag, seconds).map(([one, time]): Action => ({ kind: "shelve", tag: one, seconds: time })),
  tag.map((one): Action => ({ kind: "unshelve", tag: one })),
  tag.map((one): Action => ({ kind: "out of service", tag: one, comment: "why" })),
  tag.map((one): Action => ({ kind: "return to service", tag: one })),
  seconds.map((time): Action => ({ kind: "bypass", seconds: time, comment: "why" })),
  seconds.map((time): Action => ({ kind: "fan off on purpose", seconds: time })),
  fc.tuple(celsius, seconds).map(([value, ago]): Action => ({ kind: "spot reading", celsius: value, secondsAgo: ago })),
  fc
    .constantFrom("begin", "confirm released", "confirm permitted", "abandon")
    .map((one): Action => ({ kind: "proof test", step: one as "begin" })),
  fc.string().map((text): Action => ({ kind: "note", text })),
);
const commands = fc.array(
  action.map((one): Command => ({ id: "c", by: "op", from: "test", action: one })),
  { maxLength: 2 },
);
const moment = fc.record({
  readings: fc.oneof({ weight: 3, arbitrary: fc.constant(READINGS) }, { weight: 4, arbitrary: readings }),
  commands: fc.oneof({ weight: 3, arbitrary: fc.constant([] as Command[]) }, { weight: 2, arbitrary: commands }),
  elapsed: fc.oneof(
    { weight: 8, arbitrary: fc.constant(1) },
    { weight: 2, arbitrary: fc.double({ min: 0, max: 4000, noNaN: true }) },
    { weight: 1, arbitrary: fc.constantFrom(-5, Number.NaN) },
  ),
});
const history = fc.array(moment, { minLength: 1, maxLength: 60 });
type Moment = typeof moment extends fc.Arbitrary<infer One> ? One : never;

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
