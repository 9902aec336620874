// Speed from edge times: exact on a clean train, right under jitter, lost and doubled edges, and silent on noise.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { analyseEdges, HIGHEST_RPM } from "../../hardware/pulse-train.ts";

/** Two pulses a revolution: common practice of fans with a tach lead, no single source. */
const PULSES = 2;

type Train = {
  readonly rpm: number;
  /** Greatest lateness of an edge, as a share of the period. */
  readonly jitter: number;
  /** Share of edges that never arrive. */
  readonly lost: number;
  /** Share of edges that bounce: a second edge within `bounceSeconds`. */
  readonly doubled: number;
  /** Share of edges whose stamp is late, by up to nine tenths of a period: interrupts were held back, or a process was busy. */
  readonly late?: number;
  readonly seconds: number;
  readonly seed: number;
};

/** Numbers in [0, 1), the same for the same seed (mulberry32). */
function random(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}

const BOUNCE_SECONDS = 0.0003;

function edgesOf(train: Train): number[] {
  const next = random(train.seed);
  const period = 60 / (train.rpm * PULSES);
  const edges: number[] = [];
  for (let at = 5000; at < 5000 + train.seconds; at += period) {
    let edge = at + next() * train.jitter * period;
    if (train.late !== undefined && next() < train.late) edge += next() * 0.9 * period;
    if (next() < train.lost) continue;
    edges.push(edge);
    if (next() < train.doubled) edges.push(edge + next() * BOUNCE_SECONDS);
  }
  return edges.sort((a, b) => a - b);
}

/** Edges of a Poisson process: what interference looks like. */
function noiseOf(edgesPerSecond: number, seconds: number, seed: number): number[] {
  const next = random(seed);
  const edges: number[] = [];
  for (let at = 5000; at < 5000 + seconds; at += -Math.log(1 - next()) / edgesPerSecond) edges.push(at);
  return edges;
}

const anySeed = fc.integer({ min: 0, max: 2 ** 31 });

describe("analyseEdges", () => {
  // Pure arithmetic: 11 000 rpm at 2 pulses a revolution are 366.67 Hz.
  it("reads 366.67 Hz as 11 000 rpm, perfectly regular", () => {
    const times = Array.from({ length: 300 }, (_, pulse) => 5000 + pulse / (11_000 / 30));
    const { rpm, regularity, rejectedEdges } = analyseEdges(times, PULSES);
    expect(rpm).toBeCloseTo(11_000, 3);
    expect(regularity).toBeCloseTo(1, 6);
    expect(rejectedEdges).toBe(0);
  });

  it("says nothing of no edges, one edge, or too few", () => {
    expect(analyseEdges([], PULSES)).toEqual({ rpm: null, regularity: null, rejectedEdges: 0 });
    expect(analyseEdges([5000], PULSES)).toEqual({ rpm: null, regularity: null, rejectedEdges: 0 });
    expect(analyseEdges([5000, 5000.01, 5000.02, 5000.03], PULSES).rpm).toBeNull();
  });

  it.each([0, 1.5, 17, Number.NaN])("rejects %d pulses a revolution", (pulses) => {
    expect(() => analyseEdges([], pulses)).toThrow(RangeError);
  });

  // A busy machine loses edges of a fast train; a slow one gives it time for each.
  it.each([
    { slowest: 1500, fastest: 15_000, most: 0.5 },
    { slowest: 300, fastest: 1500, most: 0.05 },
  ])("stays within 2 % under jitter, lost and doubled edges from $slowest to $fastest rpm", (range) => {
    fc.assert(
      fc.property(
        fc.record({
          rpm: fc.double({ min: range.slowest, max: range.fastest, noNaN: true }),
          jitter: fc.double({ min: 0, max: 0.12, noNaN: true }),
          lost: fc.double({ min: 0, max: range.most, noNaN: true }),
          doubled: fc.double({ min: 0, max: 1, noNaN: true }),
          seconds: fc.constant(2),
          seed: anySeed,
        }),
        (train) => {
          const { rpm } = analyseEdges(edgesOf(train), PULSES);
          expect(rpm).not.toBeNull();
          expect(Math.abs((rpm ?? 0) / train.rpm - 1)).toBeLessThan(0.02);
        },
      ),
      { numRuns: 500 },
    );
  });

  // Numbered from the one before, a pulse late by more than half a period counts as two, and the one after it as one more.
  it.each([
    { late: 0.02, lost: 0 },
    { late: 0.05, lost: 0 },
    { late: 0.05, lost: 0.05 },
  ])("is not hurried by late stamps: $late of them late, $lost lost", ({ late, lost }) => {
    const seeds = fc.sample(fc.tuple(fc.double({ min: 1500, max: 15_000, noNaN: true }), anySeed), {
      numRuns: 1000,
      seed: 7,
    });
    const off = seeds.map(([rpm, seed]) => {
      const train = { rpm, jitter: 0.05, lost, doubled: 0, late, seconds: 1, seed };
      return Math.abs((analyseEdges(edgesOf(train), PULSES).rpm ?? 0) / rpm - 1);
    });
    expect(off.filter((share) => share > 0.005).length).toBeLessThanOrEqual(3);
    expect(Math.max(...off)).toBeLessThan(0.03);
  });

  it("counts every bounce as rejected and none as a pulse", () => {
    fc.assert(
      fc.property(fc.double({ min: 400, max: 15_000, noNaN: true }), anySeed, (rpm, seed) => {
        const edges = edgesOf({ rpm, jitter: 0, lost: 0, doubled: 1, seconds: 1, seed });
        expect(analyseEdges(edges, PULSES).rejectedEdges).toBe(edges.length / 2);
      }),
    );
  });

  it("rates a train the less regular the more it jitters", () => {
    const regularities = [0, 0.1, 0.3, 0.6].map(
      (jitter) =>
        analyseEdges(edgesOf({ rpm: 6000, jitter, lost: 0, doubled: 0, seconds: 2, seed: 7 }), PULSES).regularity,
    );
    expect(regularities).toEqual(regularities.toSorted((a, b) => (b ?? 0) - (a ?? 0)));
    expect(regularities[0]).toBeCloseTo(1, 6);
    expect(regularities.at(-1)).toBeLessThan(0.7);
  });

  it("does not read random noise from 5 Hz to 20 kHz as a speed", () => {
    const read = fc.sample(fc.tuple(fc.double({ min: Math.log(5), max: Math.log(20_000), noNaN: true }), anySeed), {
      numRuns: 1000,
      seed: 42,
    });
    const mistaken = read.filter(([rate, seed]) => analyseEdges(noiseOf(Math.exp(rate), 2, seed), PULSES).rpm !== null);
    // Chance may line up a few; one in two hundred is the bound that the alarms' on-delay lives with.
    expect(mistaken.length).toBeLessThanOrEqual(5);
  });

  it.each([1700, 5000, 20_000])("makes no pulse at all of a steady %d Hz", (hertz) => {
    const times = Array.from({ length: hertz }, (_, edge) => 5000 + edge / hertz);
    expect(analyseEdges(times, PULSES)).toEqual({ rpm: null, regularity: null, rejectedEdges: hertz - 1 });
  });

  it("never reads more than the fastest fan", () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 1e-5, max: 0.5, noNaN: true }), { minLength: 0, maxLength: 300 }),
        (intervals) => {
          let at = 5000;
          const times = intervals.map((interval) => {
            at += interval;
            return at;
          });
          const { rpm, regularity } = analyseEdges(times, PULSES);
          if (rpm !== null) expect(rpm).toBeLessThanOrEqual(HIGHEST_RPM * 1.01);
          if (regularity !== null) expect(regularity).toBeLessThanOrEqual(1 + 1e-9);
        },
      ),
    );
  });

  it("forgets the speed before a long gap", () => {
    const before = Array.from({ length: 100 }, (_, pulse) => 5000 + pulse / 100);
    const after = Array.from({ length: 40 }, (_, pulse) => 5002 + pulse / 200);
    expect(analyseEdges([...before, ...after], PULSES).rpm).toBeCloseTo(6000, 3);
  });

  it("follows a fan that runs up from rest to 11 000 rpm in three seconds, late by less than 15 %", () => {
    // Phase of a linear run-up: pulses = f·t²/(2·3 s); the n-th pulse comes at √(6·n/f).
    const finalHertz = 11_000 / 30;
    const times: number[] = [];
    for (let pulse = 1; pulse < (finalHertz * 3) / 2; pulse += 1)
      times.push(5000 + Math.sqrt((6 * pulse) / finalHertz));
    for (const seconds of [1, 2, 2.9]) {
      const { rpm } = analyseEdges(
        times.filter((time) => time < 5000 + seconds),
        PULSES,
      );
      const now = (11_000 * seconds) / 3;
      expect(rpm).not.toBeNull();
      expect(Math.abs((rpm ?? 0) / now - 1)).toBeLessThan(0.15);
    }
  });
});
