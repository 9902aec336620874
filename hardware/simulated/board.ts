// A board that exists only in memory: same contract as the real one, chips answering at their registers, lines moving,
// kernel files, a clock that may run fast, and a script of faults. The real drivers run on it unchanged.

import type { Board, Clock, HardwareSpec, Permits, SensorSpec } from "../ports.ts";
import { oneShotSeconds } from "../wiring/sums.ts";
import { CallGate, systemError } from "./calls.ts";
import type { ClimateProbe } from "./chips/sht.ts";
import { SimulatedClock } from "./clock.ts";
import { type Fault, FaultScript } from "./faults.ts";
import { SimulatedFeedpoint, type Truth } from "./feedpoint.ts";
import { fitChips } from "./fitting.ts";
import { kernelFiles } from "./kernel-files.ts";
import { OneShot, PermitContacts, SimulatedLines } from "./lines.ts";
import { sensorProbe } from "./probe.ts";
import { seededRandom } from "./random.ts";
import type { RigReading } from "./rig.ts";
import type { Scenario } from "./scenario.ts";

/** How a simulated board is made. */
export type SimulatedBoardOptions = {
  readonly spec: HardwareSpec;
  readonly scenario: Scenario;
  /** Real time underneath; a test gives a manual clock. */
  readonly clock: Clock;
  /** Simulated seconds per real second, 1 … 3600. */
  readonly speed: number;
  readonly seed: number;
  /** Heat (ferrite and copper) over drive at 25 °C for a frequency, from the transformer's table. */
  readonly lossFractionAt: (frequencyHertz: number) => number;
  /** Simulated Unix time at the start; without it the clock's own. */
  readonly wallSeconds?: number;
  readonly faults?: readonly Fault[];
};

/** The board, with the truth behind it and the script of what goes wrong. */
export interface SimulatedBoard extends Board {
  readonly clock: SimulatedClock;
  readonly scenario: Scenario;
  readonly spec: HardwareSpec;
  /** Add faults here at any time; their seconds are those of `elapsedSeconds`. */
  readonly faults: FaultScript;
  /** Seconds since the simulation began. */
  elapsedSeconds(): number;
  /** What is true now and no sensor shows. */
  truth(): Truth;
  /** What the shack tells over its rig link now. */
  station(): RigReading;
  /** What the rig sees of the two permit contacts now. */
  contacts(): Permits;
  /** Calls into the board so far: bus, line and file calls alike. */
  calls(): number;
}

/** At real speed edges are handed over this often, s; faster simulations hand over more at a time, up to the second figure. */
const BATCH_SECONDS = 0.02;
const LONGEST_BATCH_SECONDS = 0.1;

/** How long the one-shot of the wiring's drawing holds, s. */
const ONE_SHOT_SECONDS = oneShotSeconds();

/** Builds the board; the feedpoint has already been in use for the scenario's preroll. */
export function simulatedBoard(options: SimulatedBoardOptions): SimulatedBoard {
  const { spec, scenario, seed } = options;
  const random = seededRandom(seed);
  const clock: SimulatedClock = new SimulatedClock({
    base: options.clock,
    speed: options.speed,
    bootId: bootIdOf(seed, options.clock.bootId),
    ...(options.wallSeconds === undefined ? {} : { wallSeconds: options.wallSeconds }),
    wallErrorSeconds: () => faults.find("wall clock jump")?.seconds ?? 0,
    wallIsTrusted: () => faults.find("wall clock jump") === null,
  });
  const now = (): number => clock.monotonicSeconds();
  const beganAtSeconds = now();
  const elapsedSeconds = (): number => now() - beganAtSeconds;
  const faults: FaultScript = new FaultScript(elapsedSeconds, options.faults);
  const oneShot = spec.pulse === null ? null : new OneShot(ONE_SHOT_SECONDS, now);
  const contacts = new PermitContacts(spec.relay !== null, faults, oneShot);
  const feedpoint = new SimulatedFeedpoint({
    plant: scenario.plant,
    climate: scenario.climate,
    pattern: scenario.pattern,
    fan: scenario.fan,
    lossFractionAt: options.lossFractionAt,
    supplyVolts: scenario.supplyVolts,
    reducedWatts: scenario.reducedWatts,
    startOfDaySeconds: scenario.startOfDaySeconds,
    prerollSeconds: scenario.prerollSeconds,
    permits: () => contacts.permits(),
    random,
    faults,
    now,
  });
  const gate = new CallGate(faults);
  const probes = new Map<SensorSpec, ClimateProbe>(
    spec.sensors.map((sensor) => {
      const { noiseKelvin } = scenario;
      return [sensor, sensorProbe({ sensor, feedpoint, faults, random: random.fork(sensor.name), now, noiseKelvin })];
    }),
  );
  const probeOf = (sensor: SensorSpec): ClimateProbe => probes.get(sensor)!;
  const reflection = (scenario.standingWaveRatio - 1) / (scenario.standingWaveRatio + 1);
  const detectorVolts = (watts: number) => {
    const forward = scenario.detectorKilowattVolts * Math.sqrt(watts / 1000);
    return { forward, reflected: forward * reflection };
  };
  const transmitting = (): boolean => feedpoint.station().transmitting;
  const buses = fitChips(
    { spec, probeOf, feedpoint, faults, random, now, detectorVolts },
    { clock, gate, faults, transmitting },
  );
  const batchSeconds = Math.min(LONGEST_BATCH_SECONDS, BATCH_SECONDS * options.speed);
  const lines = new SimulatedLines({ spec, clock, gate, faults, batchSeconds, oneShot }, feedpoint, contacts);
  const files = kernelFiles(
    { spec, probeOf, feedpoint, clock, gate, faults, random: random.fork("kernel files") },
    [...buses.keys()].map((bus) => `i2c-${bus}`),
  );

  return {
    simulated: true,
    clock,
    scenario,
    spec,
    faults,
    elapsedSeconds,
    truth: () => feedpoint.truth(),
    station: () => feedpoint.station(),
    contacts: () => contacts.permits(),
    calls: () => gate.count,
    i2c: async (bus) => {
      gate.pass("open");
      const adapter = buses.get(bus);
      if (adapter === undefined) throw systemError("ENOENT", "open");
      return adapter.open();
    },
    edgeLine: async (line) => lines.edgeLine(line),
    outputLine: async (line) => lines.outputLine(line),
    lineChips: async () => lines.chips(),
    ...files,
    close: async () => {
      contacts.write("reduce", 0);
      contacts.write("inhibit", 0);
    },
  };
}

/** An identity of this simulated boot, in the kernel's spelling; another one for each real boot and seed. */
function bootIdOf(seed: number, realBootId: string): string {
  const random = seededRandom(seed).fork(realBootId);
  const hex = (words: number): string =>
    Array.from({ length: words }, () => random.bits().toString(16).padStart(8, "0")).join("");
  const digits = hex(4);
  return [
    digits.slice(0, 8),
    digits.slice(8, 12),
    `4${digits.slice(13, 16)}`,
    `8${digits.slice(17, 20)}`,
    digits.slice(20),
  ].join("-");
}
