// Which of several thermometers is being warmed: watches all of them until one rises by a clear margin above where it began and above
// the others, or the time is over. It moves nothing and asks nobody.

import { pause } from "../../hardware/clock.ts";
import { HardwareError } from "../../hardware/errors.ts";
import type { Clock, TemperatureSensor } from "../../hardware/ports.ts";

/** What the rises say; indices into the sensors that were watched. */
export type Warming =
  | { readonly kind: "one"; readonly index: number; readonly kelvin: number }
  | { readonly kind: "several"; readonly indexes: readonly number[] }
  | { readonly kind: "none"; readonly mostKelvin: number };

/** A finger warms a bare sensor by several kelvin; air and noise move it by some tenths. */
const CLEAR_KELVIN = 1.5;
/** Another that rises by more than this share of the most is being warmed too. */
const SHARE = 0.5;
const LOOK_SECONDS = 0.5;
/** Looks before the finger counts: where everything began. */
const BASELINE_LOOKS = 3;
/** Looks in a row that must agree. */
const AGREEING_LOOKS = 2;

/** What rises above the beginning mean; null = this sensor gave no reading. Pure. */
export function judgeWarming(risesKelvin: readonly (number | null)[]): Warming {
  const known = risesKelvin.flatMap((kelvin, index) => (kelvin === null ? [] : [{ index, kelvin }]));
  const [most, ...others] = known.toSorted((a, b) => b.kelvin - a.kelvin);
  if (most === undefined || most.kelvin < CLEAR_KELVIN)
    return { kind: "none", mostKelvin: Math.max(0, most?.kelvin ?? 0) };
  const along = others.filter(({ kelvin }) => kelvin > SHARE * most.kelvin);
  if (along.length === 0) return { kind: "one", ...most };
  return { kind: "several", indexes: [most, ...along].map(({ index }) => index) };
}

/** Where every sensor stands before anybody touches one, °C; null where it gives no reading. */
export async function restingCelsius(
  sensors: readonly TemperatureSensor[],
  clock: Clock,
): Promise<readonly (number | null)[]> {
  const looks: (readonly (number | null)[])[] = [];
  for (let look = 0; look < BASELINE_LOOKS; look += 1) {
    if (look > 0) await pause(clock, LOOK_SECONDS);
    looks.push(await readAll(sensors));
  }
  return sensors.map((_, index) => median(looks.flatMap((look) => look[index] ?? [])));
}

/**
 * Watches until one is clearly warmed, at most `seconds`; the outcome at the end where it never was. A rise counts from the lowest seen:
 * one that was held before goes on cooling for a while, and its beginning with it.
 */
export async function watchWarming(
  sensors: readonly TemperatureSensor[],
  resting: readonly (number | null)[],
  clock: Clock,
  seconds: number,
): Promise<Warming> {
  const untilSeconds = clock.monotonicSeconds() + seconds;
  let lowest = resting;
  let agreed = 0;
  for (let last: Warming | null = null; ; ) {
    const warm = await readAll(sensors);
    lowest = warm.map((celsius, index) => lower(celsius, lowest[index] ?? null));
    const now = judgeWarming(warm.map((celsius, index) => difference(celsius, lowest[index] ?? null)));
    agreed = now.kind === "one" && last?.kind === "one" && last.index === now.index ? agreed + 1 : 1;
    if (now.kind === "one" && agreed >= AGREEING_LOOKS) return now;
    if (clock.monotonicSeconds() >= untilSeconds) return now;
    last = now;
    await pause(clock, LOOK_SECONDS);
  }
}

/** One reading of each, °C; one that fails says nothing this time, and the next look asks again. */
export function readAll(sensors: readonly TemperatureSensor[]): Promise<readonly (number | null)[]> {
  return Promise.all(
    sensors.map((sensor) =>
      sensor.read().then(
        ({ celsius }) => celsius,
        (cause: unknown) => {
          if (cause instanceof HardwareError) return null;
          throw cause;
        },
      ),
    ),
  );
}

const lower = (one: number | null, other: number | null): number | null =>
  one === null ? other : Math.min(one, other ?? one);

const difference = (warm: number | null, cold: number | null): number | null =>
  warm === null || cold === null ? null : warm - cold;

function median(values: readonly number[]): number | null {
  return values.toSorted((a, b) => a - b)[Math.floor(values.length / 2)] ?? null;
}
