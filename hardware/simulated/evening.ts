// A made-up operator's evening, drawn from a seed hour by hour: which band, which mode, how long, how hard.
// The same for one seed and time in whatever order it is asked; nobody's real log stands behind it.

import { type BandName, frequencyIn } from "./bands.ts";
import { indexAt, keyingOf, type Mode, type OperatingPattern, type Over } from "./pattern.ts";
import { type Random, seededRandom } from "./random.ts";

/** How one stretch of operating sounds. */
type Cadence = {
  readonly mode: Mode;
  readonly onSeconds: readonly [number, number];
  readonly offSeconds: readonly [number, number];
  readonly stintMinutes: readonly [number, number];
  readonly peakWatts: readonly [number, number];
  readonly weight: number;
};

/** An ordinary evening: a bit of everything. */
const ORDINARY: readonly Cadence[] = [
  // Calling on one frequency: short calls, short exchanges.
  { mode: "CW", onSeconds: [4, 7], offSeconds: [2, 5], stintMinutes: [8, 20], peakWatts: [1300, 1500], weight: 4 },
  // Hunting: a call here and there.
  { mode: "CW", onSeconds: [2, 4], offSeconds: [6, 18], stintMinutes: [5, 12], peakWatts: [1200, 1500], weight: 2 },
  {
    mode: "SSB",
    onSeconds: [25, 110],
    offSeconds: [20, 120],
    stintMinutes: [12, 25],
    peakWatts: [800, 1500],
    weight: 1,
  },
  {
    mode: "FT8",
    onSeconds: [12.64, 12.64],
    offSeconds: [17.36, 17.36],
    stintMinutes: [8, 16],
    peakWatts: [300, 700],
    weight: 1,
  },
  { mode: "RTTY", onSeconds: [5, 9], offSeconds: [5, 10], stintMinutes: [8, 15], peakWatts: [500, 900], weight: 2 },
];
/** A contest in two modes with few breaks and all the power there is. */
const CONTEST: readonly Cadence[] = [
  { mode: "RTTY", onSeconds: [5, 8], offSeconds: [2.5, 5], stintMinutes: [10, 18], peakWatts: [1200, 1500], weight: 4 },
  { mode: "CW", onSeconds: [4, 7], offSeconds: [1.5, 3], stintMinutes: [6, 12], peakWatts: [1400, 1500], weight: 2 },
  { mode: "RTTY", onSeconds: [3, 5], offSeconds: [4, 9], stintMinutes: [4, 8], peakWatts: [1200, 1500], weight: 2 },
];
const STYLES = { ordinary: ORDINARY, contest: CONTEST } as const;
const BREAK_MINUTES = [2, 5] as const;

/** What kind of evening it is. */
export type EveningStyle = keyof typeof STYLES;

/** The operator's bands through the day. */
function bandsAt(hour: number): readonly BandName[] {
  if (hour >= 6 && hour < 17) return ["20 m", "40 m", "20 m"];
  if (hour >= 17 && hour < 21) return ["40 m", "80 m", "20 m", "80 m"];
  return ["80 m", "40 m", "80 m"];
}

/**
 * A made-up operator who never sleeps, keener in the evening: stints of calling, hunting, talking and digital modes,
 * with breaks.
 */
export function eveningPattern(seed: number, style: EveningStyle = "ordinary"): OperatingPattern {
  let hourKept = Number.NaN;
  let overs: Over[] = [];
  let hint = 0;
  return (seconds) => {
    const hour = Math.floor(seconds / 3600);
    if (hour !== hourKept) {
      overs = oversOfHour(seed, hour, STYLES[style]);
      hourKept = hour;
      hint = 0;
    }
    hint = indexAt(overs, seconds, hint);
    return keyingOf(overs[hint]!, seconds, seed);
  };
}

function oversOfHour(seed: number, hour: number, cadences: readonly Cadence[]): Over[] {
  const random = seededRandom(seed).fork(`hour ${hour}`);
  const hourOfDay = ((hour % 24) + 24) % 24;
  const bands = bandsAt(hourOfDay);
  const keen = hourOfDay >= 18 || hourOfDay < 1;
  const end = (hour + 1) * 3600;
  const overs: Over[] = [];
  let at = hour * 3600 + random.between(1, 6);
  while (at < end - 1) {
    const cadence = choose(random, cadences);
    const band = bands[random.below(bands.length)]!;
    const frequencyHertz = frequencyIn(band, random.between(0.04, 0.45));
    const peakWatts = Math.round(random.between(...cadence.peakWatts) / 50) * 50;
    const until = Math.min(end - 1, at + 60 * random.between(...cadence.stintMinutes));
    if (cadence.mode === "FT8") at = Math.ceil(at / 15) * 15;
    while (at < until) {
      const endSeconds = Math.min(until, at + random.between(...cadence.onSeconds));
      overs.push({ startSeconds: at, endSeconds, frequencyHertz, mode: cadence.mode, peakWatts });
      at = endSeconds + random.between(...cadence.offSeconds);
    }
    at += random.unit() < (keen ? 0.25 : 0.9) ? 60 * random.between(...BREAK_MINUTES) : random.between(5, 25);
  }
  // An over that could begin only after the hour belongs to nobody; an hour is never empty, as its first stint begins at once.
  return overs;
}

function choose(random: Random, cadences: readonly Cadence[]): Cadence {
  const total = cadences.reduce((sum, cadence) => sum + cadence.weight, 0);
  let left = random.between(0, total);
  for (const cadence of cadences) {
    left -= cadence.weight;
    if (left < 0) return cadence;
  }
  return cadences[0]!;
}
