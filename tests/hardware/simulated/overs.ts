// Overs as tests script them, and a pattern that plays them.

import { indexAt, keyingOf, type OperatingPattern, type Over } from "../../../hardware/simulated/pattern.ts";

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
