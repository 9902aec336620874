// Generators of whole histories for step(): readings of every quality, requests of every kind, time that stands and leaps.
// They draw; they check nothing.

import fc from "fast-check";
import type { Action, Command } from "../../../daemon/core/commands.ts";
import { NO_DRIVE_EVIDENCE } from "../../../daemon/core/drive-evidence.ts";
import { rationaliseAlarms } from "../../../daemon/core/protect/alarm-list.ts";
import { bad, good, type Reading, type Readings, suspect } from "../../../daemon/core/readings.ts";
import { READINGS, SETTINGS, UPKEEP } from "./fixtures.ts";

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
      lostEdges: fc.option(fc.nat()),
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
  driveEvidence: fc.constant(NO_DRIVE_EVIDENCE),
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

/** Every tag of the list. */
export const tags = rationaliseAlarms(SETTINGS).map(({ tag }) => tag);
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
/** Up to a minute of cycles, mostly quiet ones, with readings and requests that nobody would think of. */
export const history = fc.array(moment, { minLength: 1, maxLength: 60 });
/** One cycle of a history. */
export type Moment = typeof moment extends fc.Arbitrary<infer One> ? One : never;
