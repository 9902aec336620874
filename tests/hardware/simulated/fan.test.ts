// The simulated fan: edges against speed, and each way a fan can be unwell.
import { describe, expect, it } from "vitest";
import { SimulatedFan } from "../../../hardware/simulated/fan.ts";
import { type Fault, FaultScript, type Trouble } from "../../../hardware/simulated/faults.ts";
import { seededRandom } from "../../../hardware/simulated/random.ts";

const MAKE = { nominalRpm: 11_000, nominalVolts: 12, runningAmperes: 0.17, stalledAmperes: 0.27 };

/** Runs a fan for `seconds` in ticks of 20 ms; troubles hold from `from` to `to`. */
function run(seconds: number, troubles: readonly Trouble[] = [], span = { from: 0, to: 1e9 }, volts = 12, flow = 1) {
  let now = 0;
  const faults = new FaultScript(
    () => now,
    troubles.map((trouble) => ({ ...trouble, startSeconds: span.from, endSeconds: span.to })),
  );
  const fan = new SimulatedFan(MAKE, faults, seededRandom(4));
  const edges: number[] = [];
  const speeds: number[] = [];
  for (let tick = 0; tick < seconds * 50; tick += 1) {
    now = tick / 50;
    fan.advance(now, 0.02, volts, flow, edges);
    speeds.push(fan.rpm);
  }
  return { fan, edges, speeds };
}
const gaps = (edges: readonly number[]): number[] => edges.slice(1).map((edge, at) => edge - edges[at]!);

describe("a healthy fan", () => {
  it("gives two edges a revolution, in order, evenly", () => {
    // Two pulses a revolution from a three-wire fan: common practice, no source. 11 000 rpm is then 366.67 Hz.
    const { edges, speeds } = run(20);
    const meanRpm = speeds.reduce((sum, rpm) => sum + rpm, 0) / speeds.length;
    expect(edges.length / 20).toBeCloseTo(meanRpm / 30, 0);
    expect(meanRpm / 11_000).toBeGreaterThan(0.99);
    expect(meanRpm / 11_000).toBeLessThan(1.01);
    expect(gaps(edges).filter((gap) => Math.abs(gap * 366.67 - 1) > 0.07)).toEqual([]);
  });

  it("follows its supply, draws less when slower, and does not start on too little", () => {
    const full = run(10).fan;
    const half = run(10, [], undefined, 7).fan;
    expect(half.ratio / full.ratio).toBeCloseTo(7 / 12, 1);
    expect(half.amperes).toBeLessThan(0.8 * full.amperes);
    const dark = run(15, [], undefined, 3).fan;
    expect(dark.rpm).toBe(0);
    expect(dark.amperes).toBe(0);
    expect(dark.tachLevel).toBe(1);
  });

  it("runs a little faster against closed vents", () => {
    expect(run(10, [], undefined, 12, 0.5).fan.rpm).toBeGreaterThan(1.02 * run(10).fan.rpm);
  });

  it("shows both levels of its tach line", () => {
    const faults = new FaultScript(() => 0);
    const fan = new SimulatedFan(MAKE, faults, seededRandom(4));
    const levels = new Set<number>();
    for (let tick = 0; tick < 200; tick += 1) {
      fan.advance(tick * 0.0013, 0.0013, 12, 1, null);
      levels.add(fan.tachLevel);
    }
    expect([...levels].sort()).toEqual([0, 1]);
  });
});

describe("an unwell fan", () => {
  it("stops within a quarter of a second when it jams, draws its stalled current, and comes back", () => {
    const { edges, fan } = run(6, [{ kind: "fan stall" }], { from: 3, to: 1e9 });
    expect(Math.max(...edges)).toBeGreaterThan(3);
    expect(Math.max(...edges)).toBeLessThan(3.25);
    expect(fan.rpm).toBe(0);
    expect(fan.amperes).toBe(MAKE.stalledAmperes);
    const back = run(20, [{ kind: "fan stall" }], { from: 3, to: 6 });
    expect(back.fan.rpm).toBeGreaterThan(10_000);
    expect(back.edges.filter((edge) => edge > 4 && edge < 6)).toEqual([]);
    expect(back.edges.some((edge) => edge > 7)).toBe(true);
  });

  it("starts slowly when the bearing is stiff", () => {
    const stall = { kind: "fan stall", startSeconds: 0, endSeconds: 1 } as const;
    const stiff = { kind: "fan slow start", timeConstantSeconds: 9, startSeconds: 0, endSeconds: null } as const;
    /** Seconds from release to nine tenths of the speed. */
    const startOf = (faults: readonly Fault[]): number => {
      let now = 0;
      const fan = new SimulatedFan(MAKE, new FaultScript(() => now, faults), seededRandom(4));
      for (; now < 100; now += 0.02) {
        fan.advance(now, 0.02, 12, 1, null);
        if (now > 1 && fan.ratio > 0.9) break;
      }
      return now - 1;
    };
    // A first-order lag reaches nine tenths after 2.3 time constants.
    expect(startOf([stall])).toBeGreaterThan(1.5);
    expect(startOf([stall])).toBeLessThan(4);
    expect(startOf([stall, stiff])).toBeGreaterThan(18);
    expect(startOf([stall, stiff])).toBeLessThan(24);
  });

  it("turns slower for the same supply", () => {
    expect(run(10, [{ kind: "fan slow", speedRatio: 0.7 }]).fan.ratio).toBeCloseTo(0.7, 1);
  });

  it("surges around its mean", () => {
    const { speeds } = run(30, [{ kind: "fan surging", depth: 0.3, periodSeconds: 6 }]);
    const settled = speeds.slice(500);
    expect(Math.max(...settled) / Math.min(...settled)).toBeGreaterThan(1.2);
  });

  it("turns on without edges when the lead is lost", () => {
    const { edges, fan } = run(4, [{ kind: "tach lead lost" }], { from: 2, to: 1e9 });
    expect(fan.rpm).toBeGreaterThan(10_000);
    expect(fan.amperes).toBeGreaterThan(0.15);
    expect(Math.max(...edges)).toBeLessThan(2.01);
    expect(fan.tachLevel).toBe(1);
  });

  it.each([600, 20_000])("adds irregular edges at %i a second", (edgesPerSecond) => {
    const { edges } = run(4, [{ kind: "fan stall" }, { kind: "tach noise", edgesPerSecond }]);
    const noise = edges.filter((edge) => edge > 1);
    expect(noise.length / 3 / edgesPerSecond).toBeGreaterThan(0.9);
    expect(noise.length / 3 / edgesPerSecond).toBeLessThan(1.1);
    const intervals = gaps(noise);
    const mean = intervals.reduce((sum, gap) => sum + gap, 0) / intervals.length;
    const variance = intervals.reduce((sum, gap) => sum + (gap - mean) ** 2, 0) / intervals.length;
    // Poisson noise: the standard deviation of the gaps equals their mean.
    expect(Math.sqrt(variance) / mean).toBeGreaterThan(0.9);
    expect(intervals.filter((gap) => gap < 0)).toEqual([]);
  });
});
