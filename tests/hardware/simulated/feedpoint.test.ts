// The simulated feedpoint as a whole: truth that does not depend on who looks, and faults that have consequences.
import { describe, expect, it } from "vitest";
import type { Fault } from "../../../hardware/simulated/faults.ts";
import { demoScenario } from "../../../hardware/simulated/scenario.ts";
import { permitAll, quietScenario, shed } from "./shed.ts";

const forGood = { startSeconds: 0, endSeconds: null };

/** Truth after `seconds` of transmitting with these faults. */
async function truthAfter(seconds: number, faults: readonly Fault[] = [], everySeconds = 10) {
  const { base, board } = shed({ faults });
  await permitAll(board);
  for (let at = 0; at < seconds; at += everySeconds) {
    base.advance(everySeconds);
    board.truth();
  }
  return board.truth();
}

describe("the feedpoint", () => {
  it("has the same truth however often it is looked at", async () => {
    const often = await truthAfter(600, [], 0.5);
    const seldom = await truthAfter(600, [], 100);
    expect(often).toEqual(seldom);
  });

  it("warms up while the carrier is on, and cools when the permit is taken", async () => {
    const { base, board } = shed();
    await permitAll(board);
    base.advance(30);
    const cold = board.truth();
    base.advance(900);
    const hot = board.truth();
    expect(hot.meanCoreCelsius).toBeGreaterThan(cold.meanCoreCelsius + 30);
    expect(hot.outletCelsius).toBeGreaterThan(hot.inletCelsius + 4);
    expect(hot.hottestToroidCelsius).toBeGreaterThan(hot.meanCoreCelsius);
    await board.close();
    base.advance(900);
    expect(board.truth().meanCoreCelsius).toBeLessThan(hot.meanCoreCelsius - 20);
    expect(board.truth().lossWatts).toBe(0);
  });

  it("makes up a long gap in coarse steps", async () => {
    const { base, board } = shed();
    await permitAll(board);
    base.advance(5 * 3600);
    const gap = board.truth();
    const watched = await truthAfter(5 * 3600, [], 300);
    expect(gap.atSeconds).toBeCloseTo(5 * 3600, 6);
    expect(Math.abs(gap.meanCoreCelsius - watched.meanCoreCelsius)).toBeLessThan(0.5);
  });

  it("suffers from clogged vents, slowly", async () => {
    const clogged: Fault = { kind: "vents clogged", flowFactor: 0.4, rampSeconds: 1200, ...forGood };
    const halfway = await truthAfter(600, [clogged]);
    expect(halfway.flowFactor).toBeCloseTo(0.7, 2);
    const [sound, ill] = [await truthAfter(2400), await truthAfter(2400, [clogged])];
    expect(ill.flowFactor).toBeCloseTo(0.4, 6);
    expect(ill.meanCoreCelsius).toBeGreaterThan(sound.meanCoreCelsius + 8);
    expect(ill.fanRpm).toBeGreaterThan(sound.fanRpm);
  });

  it("suffers from a stalled fan, a sagging supply and a wet core", async () => {
    const sound = await truthAfter(1200);
    const stalled = await truthAfter(1200, [{ kind: "fan stall", startSeconds: 300, endSeconds: null }]);
    const sagging = await truthAfter(1200, [{ kind: "supply sag", volts: 7, ...forGood }]);
    const wet = await truthAfter(1200, [{ kind: "wet core", lossFactor: 1.5, ...forGood }]);
    expect(stalled.fanRpm).toBe(0);
    expect(stalled.meanCoreCelsius).toBeGreaterThan(sound.meanCoreCelsius + 25);
    expect(sagging.fanRpm / sound.fanRpm).toBeCloseTo(7 / 12, 1);
    expect(sagging.supplyVolts).toBe(7);
    expect(sagging.meanCoreCelsius).toBeGreaterThan(sound.meanCoreCelsius + 4);
    expect(wet.lossWatts / sound.lossWatts).toBeGreaterThan(1.45);
  });

  it("takes the band's own loss factor of the plant", async () => {
    const scenario = quietScenario();
    const lossy = {
      ...scenario,
      plant: { ...scenario.plant, bandLossFactors: { ...scenario.plant.bandLossFactors, "80 m": 1.2 } },
    };
    const { base, board } = shed({ scenario: lossy });
    await permitAll(board);
    base.advance(120);
    const plain = await truthAfter(120);
    expect(board.truth().lossWatts / plain.lossWatts).toBeCloseTo(1.2, 1);
  });

  it("begins warm after a preroll, in the middle of an evening", async () => {
    for (const seed of [1, 2, 3, 4, 5]) {
      const { board } = shed({ scenario: demoScenario(seed), seed });
      const truth = board.truth();
      expect(truth.inletCelsius).toBeGreaterThan(16);
      expect(truth.inletCelsius).toBeLessThan(25);
      expect(truth.meanCoreCelsius).toBeGreaterThan(truth.inletCelsius + 12);
      expect(truth.meanCoreCelsius).toBeLessThan(95);
    }
  });
});
