// The demo evening: lively, warm, and within what its box stands.
import { describe, expect, it } from "vitest";
import { demoScenario } from "../../../hardware/simulated/scenario.ts";
import { permitAll, shed } from "./shed.ts";
import { DEMO_SPEC } from "./wirings.ts";

describe("the demo", () => {
  it("shows something within the first minute: overs, and a core on the move", async () => {
    const { base, board } = shed({ scenario: demoScenario(1), spec: DEMO_SPEC });
    await permitAll(board);
    let overs = 0;
    let keyed = false;
    const cores: number[] = [];
    for (let second = 0; second < 60; second += 1) {
      base.advance(1);
      const { transmitting } = board.station();
      if (transmitting && !keyed) overs += 1;
      keyed = transmitting;
      cores.push(board.truth().meanCoreCelsius);
    }
    expect(overs).toBeGreaterThanOrEqual(3);
    expect(Math.max(...cores) - Math.min(...cores)).toBeGreaterThan(0.5);
  });

  it("keeps the core between 30 and 95 °C over the evening, mostly above 50 °C, in mild air", async () => {
    for (const seed of [1, 2, 3]) {
      const { base, board } = shed({ scenario: demoScenario(seed), spec: DEMO_SPEC, seed });
      await permitAll(board);
      const cores: number[] = [];
      for (let minute = 0; minute < 120; minute += 1) {
        base.advance(60);
        const truth = board.truth();
        cores.push(truth.meanCoreCelsius);
        expect(truth.inletCelsius).toBeGreaterThan(16);
        expect(truth.inletCelsius).toBeLessThan(25);
      }
      expect(Math.min(...cores)).toBeGreaterThan(30);
      expect(Math.max(...cores)).toBeLessThan(95);
      expect(Math.max(...cores)).toBeGreaterThan(65);
      expect(cores.filter((core) => core > 50).length).toBeGreaterThan(60);
    }
  });
});
