// What a heat run has written down: the seconds in order and the core readings, bounded. It answers what they amount to; what
// follows from it the course decides.

import type { HeatRunSample } from "../core/estimate/recording.ts";

export type CoreReading = { readonly at_seconds: number; readonly celsius: number };

/** More than a run can last; after this it is fitted with what there is. */
const MOST_SAMPLES = 4 * 3600;
const MOST_READINGS = 20;
const KEYED_WATTS = 5;
/** Outlet over inlet, averaged over a minute, below which the core is within a few kelvin of the air. */
const COLD_RISE_KELVIN = 0.6;
const COLD_SAMPLES = 60;

export const isKeyed = ({ driveWatts }: Pick<HeatRunSample, "driveWatts">): boolean => (driveWatts ?? 0) > KEYED_WATTS;

export class Recording {
  readonly #samples: HeatRunSample[];
  readonly #readings: CoreReading[];
  #keyedSeconds: number;

  constructor(samples: readonly HeatRunSample[] = [], readings: readonly CoreReading[] = []) {
    this.#samples = samples.slice(-MOST_SAMPLES);
    this.#readings = readings.slice(0, MOST_READINGS);
    this.#keyedSeconds = this.#samples.filter(isKeyed).length;
  }

  get samples(): readonly HeatRunSample[] {
    return this.#samples;
  }

  get readings(): readonly CoreReading[] {
    return this.#readings;
  }

  /** Seconds with the key down. */
  get keyedSeconds(): number {
    return this.#keyedSeconds;
  }

  get isFull(): boolean {
    return this.#samples.length >= MOST_SAMPLES;
  }

  /** Adds a second; false when it came already or is older than the last. */
  add(sample: HeatRunSample): boolean {
    const last = this.#samples.at(-1);
    if (last !== undefined && sample.timeSeconds <= last.timeSeconds) return false;
    this.#samples.push(sample);
    if (isKeyed(sample)) this.#keyedSeconds += 1;
    return true;
  }

  /** Forgets all but the last `count` seconds; only before the key-down, while nothing has been read. */
  keepLast(count: number): void {
    this.#samples.splice(0, Math.max(0, this.#samples.length - count));
    this.#keyedSeconds = this.#samples.filter(isKeyed).length;
  }

  /** A core reading at the moment it was taken. @returns why it cannot be; null when it stands */
  read(celsius: number, atSeconds: number): string | null {
    const [first, last] = [this.#samples[0], this.#samples.at(-1)];
    if (this.#readings.length >= MOST_READINGS) return `there are ${MOST_READINGS} core readings already`;
    const outside = "the reading's time is not within the recording";
    if (first === undefined || last === undefined) return outside;
    if (atSeconds < first.timeSeconds || atSeconds > last.timeSeconds + 1) return outside;
    const at = this.#samples.findLastIndex(({ timeSeconds }) => timeSeconds <= atSeconds);
    const sample = this.#samples[at];
    if (sample === undefined) return outside;
    this.#samples[at] = { ...sample, spotCoreCelsius: celsius };
    this.#readings.push({ at_seconds: atSeconds, celsius });
    return null;
  }

  /** A fit takes the box to begin near the air; a warm core would be put down to the constants. */
  get isCold(): boolean {
    const rises = this.#samples
      .slice(-COLD_SAMPLES)
      .flatMap(({ inletCelsius, outletCelsius }) =>
        inletCelsius === null || outletCelsius === null ? [] : [outletCelsius - inletCelsius],
      );
    return rises.length > 0 && rises.reduce((sum, one) => sum + one, 0) / rises.length < COLD_RISE_KELVIN;
  }
}
