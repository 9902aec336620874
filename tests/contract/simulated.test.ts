// The board's contract on the simulated board. What an output does is seen where it matters: whether the rig transmits.
import { describe, expect, it } from "vitest";
import { simulatedBoard } from "../../hardware/simulated/board.ts";
import { demoScenario } from "../../hardware/simulated/scenario.ts";
import { keyDown, playOvers } from "../hardware/simulated/overs.ts";
import { DEMO_SPEC } from "../hardware/simulated/wirings.ts";
import { ManualClock } from "../support/manual-clock.ts";
import { type Bench, BOARD_CONTRACT } from "./board.ts";

const TACH = { chipLabel: null, offset: 17 };
const INHIBIT = { chipLabel: null, offset: 24 };

function simulatedBench(): Bench {
  const base = demoScenario(1);
  const carrier = keyDown({
    startSeconds: base.startOfDaySeconds,
    seconds: 36_000,
    watts: 1000,
    frequencyHertz: 3.6e6,
  });
  const clock = new ManualClock();
  const board = simulatedBoard({
    spec: DEMO_SPEC,
    scenario: { ...base, pattern: playOvers(carrier), prerollSeconds: 0 },
    clock,
    speed: 1,
    seed: 1,
    lossFractionAt: () => 0.04,
  });
  return {
    board,
    edges: {
      line: TACH,
      leastShare: 0.95,
      make: async () => {
        await clock.advanceAsync(1);
        return Math.round(board.truth().fanRpm / 30);
      },
    },
    output: {
      line: INHIBIT,
      // The rig tells the power averaged over the last second.
      level: async () => {
        await clock.advanceAsync(2);
        return board.station().watts > 0 ? 1 : 0;
      },
    },
    chip: { bus: 1, address: 0x48 },
    absentAddress: 0x4f,
    absentBus: 9,
    absentLine: { chipLabel: null, offset: 60 },
    pass: (seconds) => clock.advanceAsync(seconds),
  };
}

describe("the simulated board", () => {
  it.each(BOARD_CONTRACT)("keeps the contract: $name", async ({ check }) => {
    await expect(check(simulatedBench())).resolves.toBeUndefined();
  });
});
