// Who transmits what and when in the simulated shack: overs, how they key the transmitter, and scripts made of them.
// The same for one seed and time in whatever order it is asked. It never knows of permits: the rig does.

import { type BandName, frequencyIn } from "./bands.ts";
import { noiseAt, seededRandom, seedOf } from "./random.ts";

export type Mode = "CW" | "SSB" | "FT8" | "RTTY" | "AM" | "FM";

/** One transmission; `peakWatts` is the peak envelope power at the feedpoint. */
export type Over = {
  readonly startSeconds: number;
  readonly endSeconds: number;
  readonly frequencyHertz: number;
  readonly mode: Mode;
  readonly peakWatts: number;
};

/** What the operator wants at a moment: `share` is mean over peak power in that tenth of a second. */
export type Keying = {
  readonly transmitting: boolean;
  readonly frequencyHertz: number;
  readonly mode: Mode;
  readonly peakWatts: number;
  readonly share: number;
};

/** Keying at `seconds` since midnight of the first day. */
export type OperatingPattern = (seconds: number) => Keying;

/** Mean over peak power while the key or the microphone is in use: CW 40–50 %, SSB about 20 % (common practice, no source). */
export const MODE_SHARE: Readonly<Record<Mode, number>> = { CW: 0.45, SSB: 0.2, FT8: 1, RTTY: 1, AM: 1, FM: 1 };

const LISTENING = { transmitting: false, peakWatts: 0, share: 0 } as const;

/** Plays a list of overs that do not overlap; the rig stays on the last one's frequency and mode in between. */
export function playOvers(overs: readonly Over[], seed = 1): OperatingPattern {
  const ordered = [...overs].sort((one, other) => one.startSeconds - other.startSeconds);
  for (let at = 1; at < ordered.length; at += 1) {
    const [before, after] = [ordered[at - 1]!, ordered[at]!];
    if (after.startSeconds < before.endSeconds)
      throw new RangeError(
        `the over at ${after.startSeconds} s begins before the one at ${before.startSeconds} s ends`,
      );
  }
  const first = ordered[0];
  if (first === undefined) throw new RangeError("a script needs at least one over");
  let hint = 0;
  return (seconds) => {
    hint = indexAt(ordered, seconds, hint);
    return keyingOf(ordered[hint] ?? first, seconds, seed);
  };
}

/** Carrier on without a break. */
export function keyDown(spec: {
  readonly startSeconds: number;
  readonly seconds: number;
  readonly watts: number;
  readonly frequencyHertz: number;
}): Over[] {
  const { startSeconds, seconds, watts, frequencyHertz } = spec;
  return [{ startSeconds, endSeconds: startSeconds + seconds, frequencyHertz, mode: "RTTY", peakWatts: watts }];
}

/** Carrier on and off in turn, as digital modes with fixed slots do. */
export function onOff(spec: {
  readonly startSeconds: number;
  readonly seconds: number;
  readonly onSeconds: number;
  readonly offSeconds: number;
  readonly watts: number;
  readonly frequencyHertz: number;
}): Over[] {
  const { startSeconds, seconds, onSeconds, offSeconds, watts, frequencyHertz } = spec;
  const overs: Over[] = [];
  for (let at = startSeconds; at < startSeconds + seconds; at += onSeconds + offSeconds) {
    const endSeconds = Math.min(at + onSeconds, startSeconds + seconds);
    overs.push({ startSeconds: at, endSeconds, frequencyHertz, mode: "FT8", peakWatts: watts });
  }
  return overs;
}

/** Hours of short overs with pauses so that carriers are on for `duty` of the time, moving to the next band each hour. */
export function contest(spec: {
  readonly startSeconds: number;
  readonly hours: number;
  readonly bands: readonly BandName[];
  readonly watts: number;
  readonly duty: number;
  readonly mode: Mode;
  readonly seed: number;
}): Over[] {
  const random = seededRandom(spec.seed);
  const overs: Over[] = [];
  const end = spec.startSeconds + spec.hours * 3600;
  for (let at = spec.startSeconds; at < end; ) {
    const hour = Math.floor((at - spec.startSeconds) / 3600);
    const band = spec.bands[hour % spec.bands.length];
    if (band === undefined) throw new RangeError("a contest needs at least one band");
    const on = random.between(2, 7);
    const off = (on * (1 - spec.duty)) / spec.duty;
    overs.push({
      startSeconds: at,
      endSeconds: Math.min(end, at + on),
      frequencyHertz: frequencyIn(band, 0.1 + 0.02 * (hour % 5)),
      mode: spec.mode,
      peakWatts: spec.watts,
    });
    at += on + off * random.between(0.7, 1.3);
  }
  return overs;
}

/** Index of the last over that began at or before `seconds`, or of the first one; `hint` is the last answer. */
export function indexAt(overs: readonly Over[], seconds: number, hint: number): number {
  const here = overs[hint];
  if (here !== undefined && here.startSeconds <= seconds) {
    const next = overs[hint + 1];
    if (next === undefined || seconds < next.startSeconds) return hint;
    const second = overs[hint + 2];
    if (second === undefined || seconds < second.startSeconds) return hint + 1;
  }
  let low = 0;
  let high = overs.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (overs[middle]!.startSeconds <= seconds) low = middle + 1;
    else high = middle;
  }
  return Math.max(0, low - 1);
}

/** Keying at `seconds`, given the latest over. */
export function keyingOf(over: Over, seconds: number, seed: number): Keying {
  const { frequencyHertz, mode } = over;
  if (seconds < over.startSeconds || seconds >= over.endSeconds) return { ...LISTENING, frequencyHertz, mode };
  return { transmitting: true, frequencyHertz, mode, peakWatts: over.peakWatts, share: shareAt(mode, seconds, seed) };
}

/** Mean over peak power within a tenth of a second: steady for carriers, elements for CW, syllables for SSB. */
function shareAt(mode: Mode, seconds: number, seed: number): number {
  const noise = noiseAt(seed ^ seedOf(mode), Math.floor(seconds * 10));
  switch (mode) {
    case "CW":
      return 2 * MODE_SHARE.CW * noise;
    case "SSB":
      // The cube of a uniform deviate has mean 1/4: most of speech is far below its peaks.
      return 4 * MODE_SHARE.SSB * noise ** 3;
    case "FT8":
    case "RTTY":
    case "AM":
    case "FM":
      return 1;
  }
}
