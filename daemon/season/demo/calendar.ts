// A made-up operator's season: evenings on the air, contests at weekends, a heat run, and what was done to the box. A scenario of
// our own, the same for the same seed; nothing in it was measured.

/** Days of the demo season before now. */
export const DEMO_DAYS = 240;

const HOUR_MINUTES = 60;

/** What the operator does within one hour. */
export type Activity = {
  readonly band: string;
  readonly frequencyHertz: number;
  readonly mode: string;
  /** Peak power, W, and share of the time on the air. */
  readonly peakWatts: number;
  readonly duty: number;
  readonly oversAnHour: number;
};

export type DemoSession = {
  readonly kind: "contest" | "heat run";
  readonly name: string;
  day: number;
  from: number;
  to: number;
};
export type DemoNote = {
  readonly kind: "note" | "command";
  readonly tag: string;
  readonly text: string;
  day: number;
  hour: number;
};

const BANDS = [
  { band: "80 m", frequencyHertz: 3_540_000 },
  { band: "40 m", frequencyHertz: 7_030_000 },
  { band: "20 m", frequencyHertz: 14_060_000 },
  { band: "15 m", frequencyHertz: 21_060_000 },
] as const;

/** Day on which each thing happened, counted from the season's first. */
export const VENTS_CLOG_FROM = 30;
export const VENTS_CLEANED = 128;
export const NEW_FAN = 176;

export const DEMO_SESSIONS: readonly DemoSession[] = [
  { kind: "heat run", name: "heat run after assembly", day: 2, from: 18, to: 20 },
  { kind: "contest", name: "first contest", day: 61, from: 12, to: 36 },
  { kind: "contest", name: "second contest", day: 103, from: 12, to: 36 },
  { kind: "contest", name: "third contest", day: 201, from: 12, to: 36 },
];

export const DEMO_NOTES: readonly DemoNote[] = [
  { kind: "note", tag: "note", text: "Box up on the gate post, three toroids, new fan.", day: 0, hour: 16 },
  { kind: "note", tag: "note", text: "Heavy rain since noon.", day: 44, hour: 17 },
  {
    kind: "note",
    tag: "note",
    text: "Thunder far off; antenna disconnected and grounded for the night.",
    day: 92,
    hour: 9,
  },
  { kind: "note", tag: "note", text: "Leaves in the vents; brushed out.", day: VENTS_CLEANED, hour: 10 },
  { kind: "command", tag: "fan replaced", text: "New fan: the old one had begun to rattle.", day: NEW_FAN, hour: 11 },
];

/** A number from 0 to 1 that is fixed by the seed and where it is asked. */
export type Chance = (index: number) => number;

/** What goes on in hour `hour` (0–23, local) of `day`; null when the station is silent. `weekday`: 0 Sunday … 6 Saturday. */
export function activityIn(day: number, hour: number, weekday: number, chance: Chance): Activity | null {
  const session = DEMO_SESSIONS.find((found) => {
    const since = (day - found.day) * 24 + hour;
    return since >= found.from && since < found.to;
  });
  const draw = (what: number): number => chance((day * 24 + hour) * 8 + what);
  if (session?.kind === "heat run") return { ...BANDS[0], mode: "RTTY", peakWatts: 400, duty: 0.65, oversAnHour: 1 };
  if (session?.kind === "contest") {
    const band = hour < 6 || hour >= 20 ? BANDS[hour % 2 === 0 ? 0 : 1] : BANDS[2 + (hour % 2)]!;
    const asleep = hour >= 3 && hour < 6;
    return asleep ? null : { ...band!, mode: "CW", peakWatts: 1_200, duty: 0.4, oversAnHour: 90 };
  }
  const weekend = weekday === 0 || weekday === 6;
  const onAir = chance(day * 8 + 7) < (weekend ? 0.8 : 0.5);
  const begins = weekend ? 15 : 19;
  const ends = begins + 2 + Math.floor(chance(day * 8 + 6) * 3);
  if (!onAir || hour < begins || hour >= ends) return null;
  const band = BANDS[Math.floor(draw(0) * BANDS.length)]!;
  if (chance(day * 8 + 5) < 0.25) return { ...band, mode: "FT8", peakWatts: 500, duty: 0.35, oversAnHour: 80 };
  const overs = Math.round(14 + 20 * draw(1));
  return {
    ...band,
    mode: draw(2) < 0.5 ? "CW" : "SSB",
    peakWatts: 900,
    duty: 0.12 + 0.12 * draw(3),
    oversAnHour: overs,
  };
}

/** Is the operator on the air in this minute of the hour? Overs come in clusters. */
export function shareOnAir({ duty }: Activity, minute: number, chance: Chance): number {
  const cluster = chance(Math.floor(minute / 4) + 17) < 0.75 ? 1.3 : 0.1;
  return Math.min(1, Math.max(0, duty * cluster * (0.7 + 0.6 * chance(minute + HOUR_MINUTES))));
}
