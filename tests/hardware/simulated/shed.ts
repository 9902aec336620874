// What the board's tests share: a small wiring, a carrier script, and a board on a clock moved by hand. No assertions here.
import type { HardwareSpec } from "../../../hardware/ports.ts";
import { type SimulatedBoard, simulatedBoard } from "../../../hardware/simulated/board.ts";
import type { Fault } from "../../../hardware/simulated/faults.ts";
import { demoScenario, type Scenario } from "../../../hardware/simulated/scenario.ts";
import { ManualClock } from "../../support/manual-clock.ts";
import { keyDown, playOvers } from "./overs.ts";
import { DEMO_SPEC } from "./wirings.ts";

export const WIRING: HardwareSpec = {
  ...DEMO_SPEC,
  sensors: [
    { name: "inlet", role: "inlet", source: { kind: "i2c", chip: "tmp117", bus: 1, address: 0x48 } },
    { name: "outlet", role: "outlet", source: { kind: "i2c", chip: "tmp1075", bus: 1, address: 0x49 } },
    { name: "shade", role: "ambient", source: { kind: "i2c", chip: "sht3x", bus: 1, address: 0x44 } },
    { name: "wall", role: "wall", source: { kind: "hwmon", path: "/sys/class/hwmon/hwmon0/temp1_input" } },
    { name: "core", role: "core", source: { kind: "one-wire", path: "/sys/bus/w1/devices/28-00000a1b2c3d/w1_slave" } },
  ],
  supply: { chip: "ina226", bus: 1, address: 0x40, shuntOhms: 0.1 },
};

/** Loss fractions of the tests' transformer; made up, of the right size. */
const lossFractionAt = (frequencyHertz: number): number => (frequencyHertz < 5e6 ? 0.045 : 0.04);

/** A scenario that begins cold and transmits 1000 W on 80 m from second 60 on, unless told otherwise. */
export function quietScenario(change: Partial<Scenario> = {}): Scenario {
  const base = demoScenario(1);
  const startSeconds = base.startOfDaySeconds + 60;
  const overs = keyDown({ startSeconds, seconds: 36_000, watts: 1000, frequencyHertz: 3.6e6 });
  return { ...base, pattern: playOvers(overs), prerollSeconds: 0, ...change };
}

/** A board on a manual clock at real speed. */
export function shed(
  options: {
    readonly faults?: readonly Fault[];
    readonly scenario?: Scenario;
    readonly spec?: HardwareSpec;
    readonly speed?: number;
    readonly seed?: number;
  } = {},
): { readonly base: ManualClock; readonly board: SimulatedBoard } {
  const base = new ManualClock();
  const board = simulatedBoard({
    spec: options.spec ?? WIRING,
    scenario: options.scenario ?? quietScenario(),
    clock: base,
    speed: options.speed ?? 1,
    seed: options.seed ?? 1,
    lossFractionAt,
    ...(options.faults === undefined ? {} : { faults: options.faults }),
  });
  return { base, board };
}

/** Energises both permit lines and keeps them. */
export async function permitAll(board: SimulatedBoard): Promise<void> {
  for (const offset of [23, 24]) {
    const line = await board.outputLine({ chipLabel: null, offset });
    await line.write(1);
  }
}
