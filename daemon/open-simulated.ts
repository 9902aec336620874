// The config's feedpoint on simulated hardware: the same drivers, on chips and pins that exist only in memory.
// The simulation's truth has physics of its own; from here it gets the wiring and the loss per frequency, as numbers.

import { openHardware } from "../hardware/open.ts";
import type { Clock } from "../hardware/ports.ts";
import { type SimulatedBoard, simulatedBoard } from "../hardware/simulated/board.ts";
import { demoScenario } from "../hardware/simulated/scenario.ts";
import { hardwareSpec } from "./config/hardware-spec.ts";
import { coreOf, lossFractionAt } from "./config/model.ts";
import type { ReadConfig } from "./config/parse.ts";
import { tableRange } from "./core/physics/mixes/mix.ts";
import type { Opened } from "./feedpoint.ts";
import type { Rig } from "./station/rig.ts";

/** One seed for every start, so that two starts show the same evening. */
const SEED = 1;

/** Opened simulated hardware, with the board behind it for scripts and tests. */
export type OpenedSimulated = Opened & { readonly board: SimulatedBoard };

/** The board alone, for who opens it otherwise. */
export function simulatedBoardOf(read: ReadConfig, speed: number, clock: Clock): SimulatedBoard {
  const core = coreOf(read);
  const { lowHertz, highHertz } = tableRange(core.mix);
  return simulatedBoard({
    spec: hardwareSpec(read),
    scenario: demoScenario(SEED),
    clock,
    speed,
    seed: SEED,
    lossFractionAt: (frequencyHertz) =>
      lossFractionAt(read.config, core, Math.min(Math.max(frequencyHertz, lowHertz), highHertz)),
  });
}

/** `clock` is the machine's; the simulated one runs `speed` times as fast. */
export async function openSimulated(read: ReadConfig, speed: number, clock: Clock): Promise<OpenedSimulated> {
  const board = simulatedBoardOf(read, speed, clock);
  const { hardware, faults } = await openHardware(board.spec, board);
  const rig: Rig = () => {
    const { frequencyHertz, mode, transmitting } = board.station();
    return { frequencyHertz, mode, transmitting, ageSeconds: 0 };
  };
  return { hardware, rig, board, warnings: faults.map(({ message }) => message) };
}
