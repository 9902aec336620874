// The config's feedpoint on simulated hardware: the same drivers, on chips and pins that exist only in memory.
// The simulation's truth has physics of its own; from here it gets the wiring and the loss per frequency, as numbers.

import { openHardware } from "../hardware/open.ts";
import type { Clock } from "../hardware/ports.ts";
import { type SimulatedBoard, simulatedBoard } from "../hardware/simulated/board.ts";
import { MODE_SHARE, type Mode, type OperatingPattern } from "../hardware/simulated/pattern.ts";
import { demoScenario } from "../hardware/simulated/scenario.ts";
import { hardwareSpec } from "./config/hardware-spec.ts";
import { coreOf, lossFractionAt } from "./config/model.ts";
import type { ReadConfig } from "./config/parse.ts";
import { tableRange } from "./core/physics/mixes/mix.ts";
import type { Rehearsal } from "./crossing/messages.ts";
import type { Opened } from "./feedpoint.ts";
import type { Rig, RigWord } from "./station/rig.ts";

/** One seed for every start, so that two starts show the same evening. */
const SEED = 1;
const REHEARSED_HERTZ = 3.65e6;

/** Opened simulated hardware, with the board behind it for scripts and tests. */
export type OpenedSimulated = Opened & { readonly board: SimulatedBoard };

/** The board alone, for who opens it otherwise. */
export function simulatedBoardOf(
  read: ReadConfig,
  speed: number,
  clock: Clock,
  rehearsed: () => number | null = () => null,
  shack: () => (() => RigWord | null) | null = () => null,
): SimulatedBoard {
  const core = coreOf(read);
  const scenario = demoScenario(SEED);
  const { lowHertz, highHertz } = tableRange(core.mix);
  return simulatedBoard({
    spec: hardwareSpec(read),
    scenario: {
      ...scenario,
      pattern: rehearsal(linked(scenario.pattern, shack, read.config.station.full_drive), rehearsed),
    },
    clock,
    speed,
    seed: SEED,
    lossFractionAt: (frequencyHertz) =>
      lossFractionAt(read.config, core, Math.min(Math.max(frequencyHertz, lowHertz), highHertz)),
  });
}

/** The operator's own evening, or a carrier on 80 m (0 W = silence) while a heat run is rehearsed. */
function rehearsal(pattern: OperatingPattern, rehearsed: () => number | null): OperatingPattern {
  return (seconds) => {
    const watts = rehearsed();
    if (watts === null) return pattern(seconds);
    const carrier = { frequencyHertz: REHEARSED_HERTZ, mode: "RTTY", peakWatts: watts } as const;
    return { ...carrier, transmitting: watts > 0, share: watts > 0 ? 1 : 0 };
  };
}

/** Once a rig is linked, the simulated transmitter sends what that rig says: silence while it is not heard. */
function linked(
  pattern: OperatingPattern,
  shack: () => (() => RigWord | null) | null,
  fullWatts: number,
): OperatingPattern {
  let last = { frequencyHertz: REHEARSED_HERTZ, mode: "CW" as Mode };
  return (seconds) => {
    const word = shack();
    if (word === null) return pattern(seconds);
    const said = word();
    last = {
      frequencyHertz: said?.frequencyHertz ?? last.frequencyHertz,
      mode: MODES.find((mode) => mode === said?.mode) ?? "RTTY",
    };
    const transmitting = said?.transmitting === true;
    const peakWatts = transmitting ? fullWatts * (said?.powerRatio ?? 1) : 0;
    return { ...last, transmitting, peakWatts, share: transmitting ? MODE_SHARE[last.mode] : 0 };
  };
}

const MODES = Object.keys(MODE_SHARE) as readonly Mode[];

/** `clock` is the machine's; the simulated one runs `speed` times as fast. */
export async function openSimulated(read: ReadConfig, speed: number, clock: Clock): Promise<OpenedSimulated> {
  let rehearsed: number | null = null;
  let switchOn: (() => void) | null = null;
  let shack: (() => RigWord | null) | null = null;
  const board = simulatedBoardOf(
    read,
    speed,
    clock,
    () => rehearsed,
    () => shack,
  );
  const { hardware, faults } = await openHardware(board.spec, board);
  const rig: Rig = () => {
    const { frequencyHertz, mode, transmitting } = board.station();
    return { frequencyHertz, mode, transmitting, meterWatts: null, swr: null, ageSeconds: 0 };
  };
  const rehearse = ({ watts, fanTurns }: Rehearsal): void => {
    rehearsed = watts;
    if (fanTurns) {
      switchOn?.();
      switchOn = null;
    } else {
      switchOn ??= board.faults.add({
        kind: "supply sag",
        volts: 0,
        startSeconds: board.elapsedSeconds(),
        endSeconds: null,
      });
    }
  };
  const follow = (word: () => RigWord | null): void => {
    shack = word;
  };
  return { hardware, rig, board, rehearse, follow, warnings: faults.map(({ message }) => message) };
}
