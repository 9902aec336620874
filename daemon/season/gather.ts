// Gathers the digest of an hour, or of a part of it, from its rows in order of time. Pure: one pass, memory of one hour.
// It counts; it does not say what is much.

import type { Text } from "./block.ts";
import { addTo, bandIn, emptyDigest, greater, type HourDigest, REVERSAL_KELVIN } from "./digest.ts";

/** Rows of one stretch, by name; dates are Unix seconds, rising. */
export type GatheredRows = {
  readonly dates: ArrayLike<number>;
  readonly numbers: (name: string) => ArrayLike<number> | null;
  readonly texts: (name: string) => readonly Text[] | null;
};

/** A row stands for the time to the next one, but for no longer than this: what was not read did not happen. */
const LONGEST_ROW_SECONDS = 5;
/** The flow factor is learned only when the core is this far above the inlet. */
const TELLING_RISE_KELVIN = 20;
/** A start is over at this share of the hour's usual speed. */
const STARTED_RATIO = 0.9;
/** What takes longer was no start but a stall that ended. */
const LONGEST_START_SECONDS = 60;
const HOUR_SECONDS = 3_600;

type BandOf = (frequencyHertz: number) => string | null;

/** One digest over stretches in order; without rows an empty one. */
export function gather(stretches: readonly GatheredRows[], bandOf: BandOf): HourDigest {
  const gatherer = new Gatherer(bandOf);
  for (const rows of stretches) gatherer.take(rows);
  return gatherer.digest();
}

const known = (value: number | undefined): value is number => value !== undefined && !Number.isNaN(value);

class Gatherer {
  readonly #bandOf: BandOf;
  readonly #digest = emptyDigest();
  readonly #core = new Map<number, number>();
  readonly #outlet = new Map<number, number>();
  #keyed = false;
  #band: string | null = null;
  #lastErrors: { receiving: number; transmitting: number } | null = null;
  #rows = 0;
  #turning: number[] = [];
  #speeds: { at: number; rpm: number; powered: boolean }[] = [];

  constructor(bandOf: BandOf) {
    this.#bandOf = bandOf;
  }

  take(rows: GatheredRows): void {
    const { dates, numbers, texts } = rows;
    const column = (name: string): ArrayLike<number> => numbers(name) ?? [];
    const core = column("core_celsius");
    const upper = column("core_upper_celsius");
    const inlet = column("inlet_celsius");
    const outlet = column("outlet_celsius");
    const wall = column("wall_celsius");
    const ambient = column("ambient_celsius");
    const drive = column("drive_watts");
    const loss = column("loss_watts");
    const frequency = column("frequency_hertz");
    const transmitting = column("transmitting");
    const stage = column("power_stage");
    const rpm = column("fan_rpm");
    const volts = column("fan_volts");
    const flow = column("flow_factor");
    const lossFactor = column("loss_factor");
    const receivingErrors = column("sensor_errors_receiving");
    const transmittingErrors = column("sensor_errors_transmitting");
    const verdicts = texts("fan") ?? [];
    const stood = Array.prototype.includes.call(rpm, 0);
    const digest = this.#digest;
    for (let row = 0; row < dates.length; row += 1) {
      const span = row + 1 < dates.length ? Math.min(dates[row + 1]! - dates[row]!, LONGEST_ROW_SECONDS) : 1;
      digest.seconds += span;
      this.#rows += 1;
      const here = core[row];
      if (known(here)) {
        digest.peakCoreCelsius = greater(digest.peakCoreCelsius, here);
        add(this.#core, Math.floor(here), span);
        this.#turn(here);
      }
      if (known(upper[row])) digest.peakUpperCelsius = greater(digest.peakUpperCelsius, upper[row]!);
      const stageNow = stage[row];
      if (stageNow === 0 || stageNow === 1 || stageNow === 2) digest.stageSeconds[stageNow] += span;
      if (known(loss[row])) digest.lossJoules += loss[row]! * span;
      if (known(drive[row])) digest.driveJoules += drive[row]! * span;
      this.#over(transmitting[row] === 1, frequency[row], span, {
        core: here,
        drive: drive[row],
        loss: loss[row],
        lossFactor: lossFactor[row],
      });
      const turning = verdicts[row] === "turning";
      if (turning && known(rpm[row])) {
        digest.fan.turningSeconds += span;
        if (known(outlet[row])) add(this.#outlet, Math.floor(outlet[row]!), span);
        if (known(volts[row]) && volts[row]! > 0) {
          addTo(digest.fan.rpm, rpm[row]!);
          addTo(digest.fan.volts, volts[row]!);
        }
      }
      if (stood && known(rpm[row])) {
        this.#speeds.push({ at: dates[row]!, rpm: rpm[row]!, powered: !known(volts[row]) || volts[row]! > 1 });
      }
      if (turning && known(flow[row]) && known(here) && here - inlet[row]! > TELLING_RISE_KELVIN) {
        addTo(digest.flowFactor, flow[row]!);
      }
      if (known(inlet[row])) {
        addTo(digest.rest.inlet, inlet[row]!);
        if (known(outlet[row])) addTo(digest.rest.outlet, outlet[row]! - inlet[row]!);
        if (known(wall[row])) addTo(digest.rest.wall, wall[row]! - inlet[row]!);
        if (known(ambient[row])) addTo(digest.rest.ambient, ambient[row]! - inlet[row]!);
      }
      this.#errors(receivingErrors[row], transmittingErrors[row]);
    }
  }

  digest(): HourDigest {
    const digest = this.#digest;
    digest.keyedAtEnd = this.#keyed;
    digest.coreSeconds = histogram(this.#core);
    digest.fan.outletSeconds = histogram(this.#outlet);
    digest.reversals = this.#turning.map((celsius) => round(celsius, 10));
    digest.fan.startSeconds = startsIn(this.#speeds);
    // At rest means nobody transmitted all hour: warm air of an over is no error of a sensor.
    if (digest.transmittingSeconds > 0 || digest.seconds < HOUR_SECONDS / 2) digest.rest = emptyDigest().rest;
    return digest;
  }

  #over(
    keyed: boolean,
    frequencyHertz: number | undefined,
    span: number,
    seen: {
      core: number | undefined;
      drive: number | undefined;
      loss: number | undefined;
      lossFactor: number | undefined;
    },
  ): void {
    const digest = this.#digest;
    if (this.#rows === 1) digest.keyedAtStart = keyed;
    const began = keyed && !this.#keyed;
    this.#keyed = keyed;
    if (!keyed) return;
    digest.transmittingSeconds += span;
    if (began) digest.overs += 1;
    if (known(frequencyHertz)) this.#band = this.#bandOf(frequencyHertz);
    const band = bandIn(digest, this.#band ?? "unknown");
    if (this.#rows === 1) digest.bandAtStart = this.#band ?? "unknown";
    band.seconds += span;
    if (began) band.overs += 1;
    if (known(seen.core)) band.peakCoreCelsius = greater(band.peakCoreCelsius, seen.core);
    if (known(seen.drive)) band.driveJoules += seen.drive * span;
    if (known(seen.loss)) band.lossJoules += seen.loss * span;
    if (known(seen.lossFactor)) {
      band.lossFactorSum += seen.lossFactor;
      band.lossFactorCount += 1;
    }
  }

  /** Keeps the first value and each turn of more than REVERSAL_KELVIN; the newest extreme moves until it is passed. */
  #turn(celsius: number): void {
    const turns = this.#turning;
    const last = turns.at(-1);
    if (last === undefined) {
      turns.push(celsius);
      return;
    }
    const before = turns.at(-2);
    const rising = before !== undefined && last > before;
    const falling = before !== undefined && last < before;
    if ((rising && celsius > last) || (falling && celsius < last)) turns[turns.length - 1] = celsius;
    else if (Math.abs(celsius - last) >= REVERSAL_KELVIN) turns.push(celsius);
  }

  /** Counters since the daemon's start: their rises are the errors; a fall is a new start. */
  #errors(receiving: number | undefined, transmitting: number | undefined): void {
    if (!known(receiving) || !known(transmitting)) return;
    const last = this.#lastErrors;
    if (last !== null) {
      this.#digest.sensorErrors.receiving += Math.max(0, receiving - last.receiving);
      this.#digest.sensorErrors.transmitting += Math.max(0, transmitting - last.transmitting);
    }
    this.#lastErrors = { receiving, transmitting };
  }
}

/** From the last row at a standstill with supply to 90 % of the usual speed, between rows by straight line. */
function startsIn(speeds: readonly { at: number; rpm: number; powered: boolean }[]): number[] {
  const running = speeds.map(({ rpm }) => rpm).filter((rpm) => rpm > 0);
  if (running.length < 60 || running.length === speeds.length) return [];
  running.sort((one, other) => one - other);
  const wanted = STARTED_RATIO * running[Math.floor(running.length / 2)]!;
  const starts: number[] = [];
  let stoodAt: number | null = null;
  for (const [index, { at, rpm, powered }] of speeds.entries()) {
    const before = speeds[index - 1];
    if (rpm === 0) {
      // Standing without supply is no start; the first powered row at a standstill is.
      if (!powered) stoodAt = null;
      else if (stoodAt === null || before?.powered === false) stoodAt = at;
      continue;
    }
    if (stoodAt === null && before?.rpm === 0 && !before.powered) stoodAt = before.at;
    if (stoodAt === null || rpm < wanted) continue;
    const share = before === undefined || rpm === before.rpm ? 1 : (wanted - before.rpm) / (rpm - before.rpm);
    const crossed = before === undefined ? at : before.at + share * (at - before.at);
    if (crossed - stoodAt <= LONGEST_START_SECONDS) starts.push(round(crossed - stoodAt, 100));
    stoodAt = null;
  }
  return starts;
}

const round = (value: number, scale: number): number => Math.round(value * scale) / scale;

function add(histogram: Map<number, number>, degree: number, seconds: number): void {
  histogram.set(degree, (histogram.get(degree) ?? 0) + seconds);
}

function histogram(counts: ReadonlyMap<number, number>): [number, number][] {
  return [...counts]
    .map(([degree, seconds]): [number, number] => [degree, round(seconds, 10)])
    .sort(([a], [b]) => a - b);
}
