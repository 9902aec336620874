// Evenings drawn at random on the story's plant: drive, fan, one part at a time that fails or lies, requests, restarts. What must hold
// in each of them, judged by the truth behind the readings; step.test.ts does the same for readings that follow from nothing.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Action } from "../../daemon/core/commands.ts";
import type { AlarmRun } from "../../daemon/core/protect/alarm.ts";
import { rationaliseAlarms } from "../../daemon/core/protect/alarm-list.ts";
import { DEFAULT_PROTECTION } from "../../daemon/core/protect/settings.ts";
import { bad, good, type Readings, suspect } from "../../daemon/core/readings.ts";
import { beginState, checkpointState, parseCheckpoint } from "../../daemon/core/step.ts";
import { Story } from "./story.ts";

// The same evenings every time: a failure is found once and then for everybody.
fc.configureGlobal({ seed: 4 });

/** What is wrong for a while; `since`: the story as it was when it began. */
const FAULTS = {
  nothing: () => ({}),
  "dead detector": () => ({ drive: { watts: good(0), frequencyHertz: 3.6e6, mode: "CW", transmitting: false } }),
  "drive not read": () => ({ drive: { watts: bad("NACK"), frequencyHertz: null, mode: null, transmitting: null } }),
  "band not known": ({ driveWatts }) => ({
    drive: { watts: good(driveWatts), frequencyHertz: null, mode: null, transmitting: driveWatts > 5 },
  }),
  "outlet not read": () => ({ outlet: bad("NACK") }),
  "inlet not read": () => ({ inlet: bad("NACK") }),
  "outlet torn": ({ now, outletCelsius }) => ({ outlet: now % 2 < 1 ? bad("CRC") : good(outletCelsius) }),
  "outlet wild": ({ now, outletCelsius }) => ({ outlet: good(now % 3 < 1 ? (now * 37) % 120 : outletCelsius) }),
  "outlet no number": () => ({ outlet: suspect(Number.NaN, "JUMPED"), inlet: good(Number.NEGATIVE_INFINITY) }),
  "outlet standing still": (_, since) => ({ outlet: good(since.outletCelsius) }),
  "outlet hot": ({ now }) => ({ outlet: good(70 + (now % 2) / 64) }),
  exchanged: ({ inletCelsius, outletCelsius, now }) => ({
    inlet: good(outletCelsius + (now % 2) / 128),
    outlet: good(inletCelsius + (now % 3) / 128),
  }),
  "inlet in the sun": ({ inletCelsius, now }) => ({ inlet: good(inletCelsius + 12 + (now % 2) / 128) }),
  "tach lead lost": ({ now }, since) => ({
    fan: { rpm: good(0), regularity: null, rejectedEdges: 0, lostEdges: 0, secondsSinceEdge: now - since.now + 1 },
  }),
  "tach noise": () => ({
    fan: { rpm: bad("IRREGULAR"), regularity: 0.2, rejectedEdges: 99, lostEdges: 0, secondsSinceEdge: 0 },
  }),
  "fan supply gone": () => ({ supplyVolts: good(0) }),
  "relay not read": () => ({ relay: { reduce: null, inhibit: null } }),
  "probe fallen off": ({ inletCelsius }) => ({ core: good(inletCelsius + 2) }),
  "probe that reads high": ({ coreCelsius }) => ({ core: good(coreCelsius + 25) }),
} as const satisfies Readonly<
  Record<string, (told: Story, since: { readonly now: number; readonly outletCelsius: number }) => Partial<Readings>>
>;

const LIST = rationaliseAlarms(DEFAULT_PROTECTION);
const tag = fc.constantFrom(...LIST.map((alarm) => alarm.tag));
const action: fc.Arbitrary<Action> = fc.oneof(
  fc.constantFrom<Action>({ kind: "reset" }, { kind: "end bypass" }, { kind: "fan on again" }),
  fc.constantFrom<Action>({ kind: "bypass", seconds: 60, comment: "x" }, { kind: "fan off on purpose", seconds: 90 }),
  fc.record({ kind: fc.constantFrom("acknowledge", "unshelve", "return to service"), tag }) as fc.Arbitrary<Action>,
  tag.map((one): Action => ({ kind: "shelve", tag: one, seconds: 60 })),
  tag.map((one): Action => ({ kind: "out of service", tag: one, comment: "x" })),
  fc
    .constantFrom("begin", "confirm released", "confirm permitted")
    .map((step): Action => ({ kind: "proof test", step })),
);
const part = fc.record({
  fault: fc.constantFrom(...(Object.keys(FAULTS) as (keyof typeof FAULTS)[])),
  watts: fc.constantFrom(0, 0, 400, 1500, 1500),
  rpm: fc.constantFrom(11_000, 11_000, 11_000, 0),
  seconds: fc.constantFrom(20, 100, 300, 600),
  asked: fc.option(fc.oneof(fc.constant<Action>({ kind: "reset" }), action)),
  restarted: fc.boolean(),
});
const evening = fc.array(part, { minLength: 2, maxLength: 6 });
type Parts = typeof evening extends fc.Arbitrary<infer All> ? All : never;

/** Plays the parts one after the other; `look` sees every cycle. The transmitter obeys: reduced means 400 W. */
function play(parts: Parts, look: (told: Story) => void) {
  const story = new Story();
  for (const { fault, watts, rpm, seconds, asked, restarted } of parts) {
    const since = { now: story.now, outletCelsius: story.outletCelsius };
    story.rpm = rpm;
    const prepare = (): void => {
      const permits = story.effects?.permits ?? { reduce: false, inhibit: false };
      story.driveWatts = permits.inhibit ? Math.min(watts, permits.reduce ? watts : 400) : 0;
      story.override = FAULTS[fault](story, since);
    };
    for (let second = 0; second < seconds; second += 1) {
      prepare();
      if (second === 10 && asked !== null) story.ask(asked);
      else story.cycle(1);
      look(story);
    }
    if (restarted) restart(story);
  }
  return story;
}

/** What is kept comes back as it was, by way of the disk. */
function restart(story: Story): void {
  const kept = JSON.stringify(checkpointState(story.program, story.state));
  const read = parseCheckpoint(JSON.parse(kept));
  expect(JSON.stringify(read)).toBe(kept);
  story.state = beginState(story.program, read, story.now);
  const again = checkpointState(story.program, story.state);
  expect({ ...again, wallSeconds: read?.wallSeconds }).toEqual(read);
}

/** Every number that is none, and every word that shows one, by its path. */
function broken(value: unknown, path: string): string[] {
  if (typeof value === "number") return Number.isFinite(value) ? [] : [`${path} = ${value}`];
  if (typeof value === "string") return /NaN|Infinity|undefined|\[object/.test(value) ? [`${path} = ${value}`] : [];
  if (typeof value !== "object" || value === null) return [];
  return Object.entries(value).flatMap(([key, one]) => broken(one, `${path}.${key}`));
}

/** Does what is remembered of an alarm fit the state that is shown? */
function fits({ state, held, latched, untilSeconds }: AlarmRun, latches: boolean): boolean {
  if ((untilSeconds !== null) !== (state === "shelved") || (held && latched !== latches)) return false;
  switch (state) {
    case "normal":
    case "returned to normal unacknowledged":
      return !held && !latched;
    case "unacknowledged":
    case "acknowledged":
      return held;
    case "latched unacknowledged":
    case "latched acknowledged":
      return !held && latched;
    default:
      return true;
  }
}

/** Plays an evening and says what was wrong in it, by what `look` finds in each cycle. */
function wrongsOf(parts: Parts, look: (told: Story) => readonly string[]): readonly string[] {
  const wrongs: string[] = [];
  play(parts, (told) => {
    for (const wrong of look(told)) if (wrongs.length < 5) wrongs.push(`second ${told.now}: ${wrong}`);
  });
  return wrongs;
}

describe("every evening", () => {
  it("shows numbers that are numbers, and alarms whose memory fits their state, and keeps both over a restart", () => {
    const look = ({ effects, state }: Story): readonly string[] => [
      ...broken(effects, "effects"),
      ...state.alarms.flatMap((run, index) =>
        fits(run, LIST[index]!.latch) ? [] : [`${LIST[index]!.tag}: ${JSON.stringify(run)}`],
      ),
    ];
    fc.assert(
      fc.property(evening, (parts) => {
        expect(wrongsOf(parts, look)).toEqual([]);
      }),
      { numRuns: 7 },
    );
  });

  it("permits no power to a core at its limit, and full power only below the point that reduces", () => {
    const look =
      (mostCelsius: number) =>
      ({ effects: { permits, outlook }, coreCelsius, program: { limits } }: Story): readonly string[] => {
        const { coreUpperCelsius: upper } = outlook.estimate;
        const hot = permits.inhibit && coreCelsius >= mostCelsius;
        const high = permits.reduce && outlook.bypassedUntilSeconds === null && upper >= limits.reduceCelsius;
        return hot || high ? [`core ${coreCelsius}, bound ${upper}, ${outlook.stage}`] : [];
      };
    const { limitCelsius, witnessMarginKelvin } = DEFAULT_PROTECTION.limits;
    fc.assert(
      fc.property(evening, (parts) => {
        // An inlet that reads high makes the core look cold to the filters: the second channel has that, with its margin.
        const margin = parts.some(({ fault }) => fault === "inlet in the sun") ? witnessMarginKelvin : 0;
        expect(wrongsOf(parts, look(limitCelsius + margin))).toEqual([]);
      }),
      { numRuns: 50 },
    );
  });

  it("comes back to full power by a reset, some heat and nothing else once all is well", () => {
    fc.assert(
      fc.property(evening, (parts) => {
        const story = play(parts, () => {});
        Object.assign(story, { override: {}, rpm: 11_000, driveWatts: 0 });
        story.run(1200);
        story.ask({ kind: "reset" });
        story.run(1500, ({ effects }) => {
          story.driveWatts = effects.permits.inhibit ? 500 : 0;
        });
        story.driveWatts = 0;
        story.run(1200);
        story.ask({ kind: "reset" });
        story.run(5);
        expect(story.effects.outlook.reasons).toEqual([]);
      }),
      { numRuns: 6 },
    );
  });
});
