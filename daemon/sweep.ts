// One sweep over all parts: everything is read in parallel, and what fails is a bad reading with its code, never an exception.
// It measures; it judges nothing, and a part that still hangs from an earlier sweep is not asked again.

import { HardwareError } from "../hardware/errors.ts";
import type { Clock, Hardware, Role } from "../hardware/ports.ts";
import { combine } from "./combine.ts";
import { bad, type FanReading, good, type Reading, type Readings, type RelayReading } from "./core/readings.ts";
import { type DriveSettings, DriveWitnesses, type Spoken } from "./station/drive.ts";
import type { Rig } from "./station/rig.ts";

/** All of the readings but those of the machine itself. */
export type Swept = Omit<Readings, "upkeep">;

export type SweepOptions = {
  readonly hardware: Hardware;
  readonly drive: DriveSettings;
  readonly rig: Rig;
  /** The machine's clock: a read hangs in real time. */
  readonly clock: Clock;
};

/** Drivers have deadlines of their own, all shorter; this one holds when a driver breaks its word. */
const SWEEP_SECONDS = 0.8;

type Outcome<Sample> = Spoken<Sample>;

/** Errors per sensor and code, receiving and transmitting apart: the operator's instrument for stray RF. */
export type ErrorCount = { readonly name: string; readonly code: string; receiving: number; transmitting: number };

export class Sweep {
  readonly #options: SweepOptions;
  readonly #hanging = new Set<string>();
  readonly #errors = new Map<string, ErrorCount>();
  #sweeps = { receiving: 0, transmitting: 0 };
  #transmitting = false;
  readonly #witnesses: DriveWitnesses;

  constructor(options: SweepOptions) {
    this.#options = options;
    this.#witnesses = new DriveWitnesses(options.drive);
  }

  /** Counts since start. Codes are a closed list, so the table is bounded. */
  get errors(): readonly ErrorCount[] {
    return [...this.#errors.values()];
  }

  /** Sweeps completed since start; errors over these are a rate. */
  get sweeps(): { readonly receiving: number; readonly transmitting: number } {
    return { ...this.#sweeps };
  }

  /** All errors since start. */
  get totals(): { readonly receiving: number; readonly transmitting: number } {
    let [receiving, transmitting] = [0, 0];
    for (const count of this.#errors.values()) {
      receiving += count.receiving;
      transmitting += count.transmitting;
    }
    return { receiving, transmitting };
  }

  /** Reads everything once; never rejects, and resolves within the deadline. */
  async read(): Promise<Swept> {
    const { hardware, clock, rig } = this.#options;
    const { promise: late, cancel } = deadline(clock, SWEEP_SECONDS);
    const [climates, fan, supply, detector, pttLine, relay] = await Promise.all([
      Promise.all(hardware.temperatures.map((part) => this.#ask(part.name, () => part.read(), late))),
      hardware.tachometer &&
        this.#ask(hardware.tachometer.name, hardware.tachometer.read.bind(hardware.tachometer), late),
      hardware.supply && this.#ask(hardware.supply.name, hardware.supply.read.bind(hardware.supply), late),
      hardware.drive && this.#ask(hardware.drive.name, hardware.drive.read.bind(hardware.drive), late),
      hardware.ptt && this.#ask(hardware.ptt.name, hardware.ptt.read.bind(hardware.ptt), late),
      hardware.relay && this.#ask("relay", hardware.relay.readBack.bind(hardware.relay), late),
    ]);
    cancel();
    this.#sweeps[this.#transmitting ? "transmitting" : "receiving"] += 1;
    const inRole = (role: Role): Reading | null =>
      combine(
        hardware.temperatures.flatMap((part, index) =>
          part.role === role ? [reading(climates[index], (sample) => sample.celsius)] : [],
        ),
        role,
      );
    const humidity = hardware.temperatures.findIndex(
      (part, index) => part.role !== "outlet" && climates[index]?.sample?.humidityRatio != null,
    );
    const heard = { detector, pttLine, rig: rig() };
    const { drive, evidence } = this.#witnesses.hear(heard, hardware.clock.monotonicSeconds());
    this.#transmitting = drive?.transmitting ?? false;
    return {
      inlet: inRole("inlet"),
      outlet: inRole("outlet"),
      wall: inRole("wall"),
      ambient: inRole("ambient"),
      core: inRole("core"),
      humidityRatio: humidity < 0 ? null : good(climates[humidity]?.sample?.humidityRatio ?? 0),
      fan: fan && fanReading(fan),
      supplyVolts: supply && reading(supply, (sample) => sample.volts),
      supplyAmperes: supply && reading(supply, (sample) => sample.amperes),
      drive,
      driveEvidence: evidence,
      relay: relay && relayReading(relay),
    };
  }

  async #ask<Sample>(name: string, read: () => Promise<Sample>, late: Promise<null>): Promise<Outcome<Sample>> {
    if (this.#hanging.has(name)) return this.#failed(name, "TIMEOUT");
    this.#hanging.add(name);
    // The read may end after the sweep did; only then may it be asked again.
    const asked = settled(read).finally(() => this.#hanging.delete(name));
    const outcome = await Promise.race([asked, late]);
    if (outcome === null) return this.#failed(name, "TIMEOUT");
    return outcome.code === null ? outcome : this.#failed(name, outcome.code);
  }

  #failed(name: string, code: string): { readonly sample: null; readonly code: string } {
    const key = `${name} ${code}`;
    const count = this.#errors.get(key) ?? { name, code, receiving: 0, transmitting: 0 };
    count[this.#transmitting ? "transmitting" : "receiving"] += 1;
    this.#errors.set(key, count);
    return { sample: null, code };
  }
}

/** Never rejects: a driver's error becomes its code. */
async function settled<Sample>(read: () => Promise<Sample>): Promise<Outcome<Sample>> {
  try {
    return { sample: await read(), code: null };
  } catch (error) {
    return { sample: null, code: error instanceof HardwareError ? error.code : "IO" };
  }
}

function reading<Sample>(outcome: Outcome<Sample> | undefined, of: (sample: Sample) => number): Reading {
  if (outcome === undefined) return bad("NOT_READY");
  if (outcome.code !== null) return bad(outcome.code);
  const value = of(outcome.sample);
  return Number.isFinite(value) ? good(value) : bad("OUT_OF_RANGE");
}

function fanReading(
  outcome: Outcome<{
    readonly rpm: number | null;
    readonly regularity: number | null;
    readonly rejectedEdges: number;
    readonly lostEdges: number | null;
    readonly secondsSinceEdge: number | null;
  }>,
): FanReading {
  if (outcome.code !== null) {
    return { rpm: bad(outcome.code), regularity: null, rejectedEdges: 0, lostEdges: null, secondsSinceEdge: null };
  }
  const { rpm, ...rest } = outcome.sample;
  return { rpm: rpm === null ? bad("IRREGULAR") : good(rpm), ...rest };
}

function relayReading(outcome: Outcome<{ readonly reduce: boolean; readonly inhibit: boolean }>): RelayReading {
  return outcome.sample ?? { reduce: null, inhibit: null };
}

function deadline(clock: Clock, seconds: number): { readonly promise: Promise<null>; readonly cancel: () => void } {
  let cancel: () => void = () => {};
  const promise = new Promise<null>((resolve) => {
    cancel = clock.after(seconds, () => resolve(null));
  });
  return { promise, cancel };
}
