// The operating patterns that the estimator is measured on: drive, band, fan, vents and weather over time.
// Patterns only; the truth comes from the simulated plant and the judgement from elsewhere.

/** What happens in one second of a case. */
export type Moment = {
  readonly driveWatts: number;
  /** Index into the case's bands. */
  readonly band: number;
  /** Fan speed over nominal. */
  readonly fanRatio: number;
  readonly flowFactor: number;
  readonly inletCelsius: number;
  readonly sunWatts: number;
};

/** One pattern with what it must reach. Accuracy targets are rms ≤ max(floorKelvin, share of the rise) + extraKelvin. */
export type Case = {
  readonly name: string;
  readonly seconds: number;
  readonly at: (second: number, air: number) => Moment;
  readonly known: Target;
  readonly unknown: Target;
  /** Whether the bound is held to a width (fan turning, vents clean). */
  readonly width: boolean;
};

/** Accuracy asked of one column: an rms figure, or only that the core is never read low by more than `lowKelvin`. */
export type Target =
  | { readonly kind: "rms"; readonly floorKelvin: number; readonly riseShare: number; readonly extraKelvin: number }
  | { readonly kind: "low"; readonly lowKelvin: number };

/** Bands used, with frequencies at which the trade's operators sit. */
export const CASE_BANDS = [
  { band: "80 m", lowHertz: 3.5e6, highHertz: 4.0e6, frequencyHertz: 3.6e6 },
  { band: "40 m", lowHertz: 7.0e6, highHertz: 7.3e6, frequencyHertz: 7.1e6 },
  { band: "20 m", lowHertz: 14.0e6, highHertz: 14.35e6, frequencyHertz: 14.1e6 },
] as const;

const MINUTE = 60;
const HOUR = 3600;

const rms = (floorKelvin: number, riseShare: number, extraKelvin = 0): Target => ({
  kind: "rms",
  floorKelvin,
  riseShare,
  extraKelvin,
});

/** A number in [0, 1) from a second and a salt: overs that look irregular and are always the same. */
const dice = (value: number, salt: number): number => {
  const x = Math.sin(value * 12.9898 + salt * 78.233) * 43758.5453;
  return x - Math.floor(x);
};

const still = (second: number, air: number): { inletCelsius: number; sunWatts: number } => ({
  inletCelsius: air + 1.5 * Math.sin((2 * Math.PI * second) / (6 * HOUR)),
  sunWatts: 0,
});

const keyDown: Case = {
  name: "key-down 1500 W on 80 m, 30 min",
  seconds: 5 * MINUTE + 30 * MINUTE + 20 * MINUTE,
  at: (second, air) => ({
    driveWatts: second >= 5 * MINUTE && second < 35 * MINUTE ? 1500 : 0,
    band: 0,
    fanRatio: 1,
    flowFactor: 1,
    ...still(second, air),
  }),
  known: rms(1, 0.04),
  unknown: rms(1.5, 0.05),
  width: true,
};

/** Overs of 2 to 20 s at 44 % duty; the band changes every 20 minutes or so. */
const contest: Case = {
  name: "contest, 3 h, three bands, 44 % duty",
  seconds: 3 * HOUR,
  at: (second, air) => {
    const over = Math.floor(second / 12);
    const on = second % 12 < 12 * 0.44 * (0.6 + 0.8 * dice(over, 1));
    return {
      driveWatts: on && second > 120 ? 1500 : 0,
      band: Math.floor(second / (22 * MINUTE)) % 3,
      fanRatio: 1,
      flowFactor: 1,
      ...still(second, air),
    };
  },
  known: rms(1, 0.05),
  unknown: rms(1.5, 0.06),
  width: true,
};

const halfAndHalf: Case = {
  name: "15 s on / 15 s off, 2 h",
  seconds: 2 * HOUR,
  at: (second, air) => ({
    driveWatts: second > 120 && second % 30 < 15 ? 1200 : 0,
    band: 1,
    fanRatio: 1,
    flowFactor: 1,
    ...still(second, air),
  }),
  known: rms(1, 0.05),
  unknown: rms(1.5, 0.06),
  width: true,
};

/** Overs of a minute or three with long listening between; speech averages about 20 % of the peak. */
const evening: Case = {
  name: "SSB evening, 3 h",
  seconds: 3 * HOUR,
  at: (second, air) => {
    const over = Math.floor(second / (4 * MINUTE));
    const begins = 30 + 60 * dice(over, 2);
    const ends = begins + 40 + 100 * dice(over, 3);
    const within = second % (4 * MINUTE);
    const speaking = within >= begins && within < ends;
    return {
      driveWatts: speaking ? 1500 * (0.1 + 0.25 * dice(second, 4)) : 0,
      band: 0,
      fanRatio: 1,
      flowFactor: 1,
      inletCelsius: air - (second / HOUR) * 2,
      sunWatts: 0,
    };
  },
  known: rms(1, 0.05),
  unknown: rms(1.5, 0.06),
  width: true,
};

/** Leaves over the vents: flow falls to 55 % in 90 min; with less to push the fan runs 8 % faster. */
const clogging: Case = {
  name: "vents clogging to 55 % in 90 min",
  seconds: 2 * HOUR,
  at: (second, air) => {
    const share = Math.min(Math.max((second - 10 * MINUTE) / (90 * MINUTE), 0), 1);
    return {
      driveWatts: second > 120 && second % 60 < 36 ? 1000 : 0,
      band: 0,
      fanRatio: 1 + 0.08 * share,
      flowFactor: 1 - 0.45 * share,
      ...still(second, air),
    };
  },
  known: rms(1, 0.05, 1),
  unknown: { kind: "low", lowKelvin: 5 },
  width: false,
};

/** Keyed at 700 W the fan stops and nobody notices for ten minutes; half of the cores are past 120 °C by then. */
const stall: Case = {
  name: "fan stall under 700 W",
  seconds: 40 * MINUTE,
  at: (second, air) => ({
    driveWatts: second > 60 ? 700 : 0,
    band: 0,
    fanRatio: second < 30 * MINUTE ? 1 : 0,
    flowFactor: 1,
    ...still(second, air),
  }),
  known: rms(0, 0.08),
  unknown: rms(0, 0.1),
  width: false,
};

/** The rows of the table, in its order. */
export const CASES: readonly Case[] = [keyDown, contest, halfAndHalf, evening, clogging, stall];

/**
 * Quiet, key-down, cool: the run from which the model is identified, at a drive with which few boxes come near the limit. The core is
 * read as soon as somebody can stand there, then every minute for eight minutes, then twice more; each reading errs by itself.
 */
export const HEAT_RUN = {
  seconds: 85 * MINUTE,
  quietSeconds: 5 * MINUTE,
  keyDownSeconds: 40 * MINUTE,
  driveWatts: 800,
  spotSecondsAfterUnkeying: [10, 60, 120, 180, 240, 300, 360, 420, 480, 600, 900],
  spotErrorKelvin: 1.5,
} as const;
