// Prints how long one cycle takes with twelve simulated sensors: reading at register level through the real drivers, the
// estimator, step(), the relay, and publishing to the service thread's outbox. It asserts nothing.
// The elapsed time holds the chips' conversions (shortened by the simulation's speed) and the simulation's own work.

import { configFrom, programFrom } from "../../daemon/commands/flags.ts";
import { coreOf, lossFractionAt } from "../../daemon/config/model.ts";
import { beginState, step } from "../../daemon/core/step.ts";
import type { Publication } from "../../daemon/crossing/messages.ts";
import { Outbox } from "../../daemon/crossing/outbox.ts";
import { Heartbeat } from "../../daemon/cycle.ts";
import { NO_SUPERVISOR } from "../../daemon/outputs/supervisor.ts";
import { Sweep } from "../../daemon/sweep.ts";
import { systemClock } from "../../hardware/clock.ts";
import { openHardware } from "../../hardware/open.ts";
import { simulatedBoard } from "../../hardware/simulated/board.ts";
import { demoScenario } from "../../hardware/simulated/scenario.ts";
import { TWELVE_SENSOR_SPEC } from "../hardware/simulated/wirings.ts";
import { USUAL_DRIVE } from "../support/usual-drive.ts";
import { median, printFigure } from "./start-daemon.ts";

const CYCLES = 400;
const SPEED = 20;

const clock = await systemClock();
const read = configFrom(undefined);
const core = coreOf(read);
const frozen = programFrom(read);
const board = simulatedBoard({
  spec: TWELVE_SENSOR_SPEC,
  scenario: demoScenario(1),
  clock,
  speed: SPEED,
  seed: 1,
  lossFractionAt: (frequencyHertz) => lossFractionAt(read.config, core, frequencyHertz),
});
const { hardware } = await openHardware(board.spec, board);
const sweep = new Sweep({
  hardware,
  drive: USUAL_DRIVE,
  rig: () => ({ ...board.station(), meterWatts: null, swr: null, ageSeconds: 0 }),
  clock,
});
const outbox = new Outbox();
const seconds: number[] = [];
let last: Publication["beat"] = null;
const processorBefore = process.cpuUsage();
const enough = new Promise<void>((resolve) => {
  const heartbeat = new Heartbeat({
    hardware,
    program: frozen,
    checkpoint: null,
    sweep,
    service: () => ({ silentSeconds: 0.5, log: { writable: true, diskFreeRatio: 0.5 } }),
    publish: ({ beat, entries, checkpoint }) => {
      if (beat === null) return;
      for (const entry of entries) outbox.enter(entry);
      if (checkpoint !== null) outbox.checkpoint(checkpoint);
      outbox.publish(beat);
      const parcel = outbox.next();
      // What crossing the threads costs on this side.
      structuredClone(parcel);
      if (parcel !== null) outbox.receipt(parcel.number, { ...outbox.progress, persistedRow: beat.number });
      last = beat;
      seconds.push(beat.cycleSeconds);
      if (seconds.length === CYCLES) void heartbeat.stop().then(resolve);
    },
    supervisor: NO_SUPERVISOR,
    clock,
    speed: SPEED,
    errors: () => sweep.totals,
    residentBytes: () => process.memoryUsage.rss(),
    rigAgeSeconds: () => 0,
  });
  void heartbeat.start();
});
await enough;
const processor = process.cpuUsage(processorBefore);
await hardware.close();
const sorted = [...seconds].sort((a, b) => a - b);
const milliseconds = (value: number): string => `${(1e3 * value).toFixed(2)} ms`;
printFigure(
  `one cycle, ${TWELVE_SENSOR_SPEC.sensors.length} sensors, median of ${CYCLES}`,
  milliseconds(median(seconds)),
  "2 ms",
);
const processorSeconds = (processor.user + processor.system) / 1e6 / CYCLES;
printFigure("  processor time, simulation included, mean", milliseconds(processorSeconds), "-");
printFigure("  slowest in a hundred", milliseconds(sorted[Math.floor(0.99 * sorted.length)] ?? Number.NaN), "-");
printFigure("  step() alone", `${(1e6 * stepSeconds()).toFixed(0)} us`, "-");

/** The same readings over and over, a second apart. */
function stepSeconds(): number {
  const readings = (last as unknown as NonNullable<Publication["beat"]>).outlook.readings;
  let state = beginState(frozen, null, 0);
  const rounds = 20_000;
  const from = clock.monotonicSeconds();
  for (let round = 1; round <= rounds; round += 1) state = step(frozen, state, readings, [], round).state;
  return (clock.monotonicSeconds() - from) / rounds;
}
