// Who transmits what and when in the simulated shack: overs, and how they key the transmitter.
// The same for one seed and time in whatever order it is asked. It never knows of permits: the rig does.

import { noiseAt, seedOf } from "./random.ts";

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
