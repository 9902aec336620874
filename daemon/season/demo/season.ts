// The demo season: rollups and digests of some months that nobody lived, made in a blink at the first start of the simulated
// feedpoint, so that its Season view is full. Coarse physics by the minute; it goes into the simulated file only, marked as made up.

import type { Database } from "better-sqlite3";
import { emptyDigest, type HourDigest } from "../digest.ts";
import type { Filing } from "../filing.ts";
import { PART_HOURS, QUARTERS_A_PART } from "../quarters.ts";
import { addToRollup, emptyRollup, type Rollup } from "../rollup.ts";
import { HOUR_SECONDS } from "../segment.ts";
import { enterRun } from "../store.ts";
import { type Box, boxOn } from "./box.ts";
import {
  type Activity,
  activityIn,
  type Chance,
  DEMO_DAYS,
  DEMO_NOTES,
  DEMO_SESSIONS,
  shareOnAir,
} from "./calendar.ts";
import { FAN_VOLTS, fillDigest, type Minute } from "./digest.ts";

export type DemoOptions = {
  /** Now, Unix seconds: the season ends with the last full six hours before it. */
  readonly nowSeconds: number;
  /** Air by month (0 January) and local hour, °C. */
  readonly airCelsius: readonly (readonly number[])[];
  readonly utcOffsetHours: number;
  readonly chance: Chance;
  readonly version: string;
};

const MINUTES = 60;
/** The box of the demo: ratio of loss, thermal time and conductance of about three stacked toroids in moved air. */
const KAPPA: Readonly<Record<string, number>> = { "80 m": 0.062, "40 m": 0.045, "20 m": 0.036, "15 m": 0.034 };
const CORE_JOULES_PER_KELVIN = 260;
const CORE_WATTS_PER_KELVIN = 0.55;
const AIR_WATTS_PER_KELVIN = 4.2;

/** Begins with what stands beside the rows, then writes the season in slices, a transaction each; the log is usable between them. */
export class DemoSeason {
  readonly #options: DemoOptions;
  readonly #firstHour: number;
  readonly #lastHour: number;
  #hour: number;
  #core = 15;
  #wall = 15;

  constructor(options: DemoOptions) {
    this.#options = options;
    const parts = Math.floor(options.nowSeconds / HOUR_SECONDS / PART_HOURS);
    this.#lastHour = parts * PART_HOURS;
    this.#firstHour = this.#lastHour - DEMO_DAYS * 24;
    this.#hour = this.#firstHour;
  }

  /** First second after the season. */
  get untilSeconds(): number {
    return this.#lastHour * HOUR_SECONDS;
  }

  /** Writes up to `days` more days inside the caller's transaction; false when all is written. */
  write(filing: Filing, days: number): boolean {
    const until = Math.min(this.#lastHour, this.#hour + days * 24);
    while (this.#hour < until) this.#part(filing);
    return this.#hour < this.#lastHour;
  }

  /** Enters the season's run, lines and sessions inside the caller's transaction. */
  begin(database: Database): void {
    const run = enterRun(database, {
      key: "demo season",
      bootId: "demo season",
      version: this.#options.version,
      simulated: true,
      source: "demo",
      name: String(this.#lastHour),
    });
    const secondsOf = (day: number, hour: number): number =>
      (Math.floor(this.#firstHour / 24) * 24 + day * 24 + hour - this.#options.utcOffsetHours) * HOUR_SECONDS;
    for (const [index, { kind, tag, text, day, hour }] of DEMO_NOTES.entries()) {
      const at = secondsOf(day, hour);
      database
        .prepare(
          "INSERT INTO entry (run, number, at_seconds, wall_seconds, wall_trusted, kind, tag, text, by) VALUES (?, ?, ?, ?, 1, ?, ?, ?, 'demo')",
        )
        .run(run, index + 1, at, at, kind, tag, text);
    }
    for (const { kind, name, day, from, to } of DEMO_SESSIONS) {
      database
        .prepare("INSERT INTO session (kind, name, from_seconds, to_seconds) VALUES (?, ?, ?, ?)")
        .run(kind, name, secondsOf(day, from), secondsOf(day, to));
    }
  }

  /** Six hours: one row of quarters a series. */
  #part(filing: Filing): void {
    const rollups = new Map<string, Rollup>();
    const first = this.#hour;
    for (; this.#hour < first + PART_HOURS; this.#hour += 1) {
      const quarterOf = (minute: number): number => (this.#hour - first) * 4 + Math.floor(minute / 15);
      const { columns, digest } = this.#live(this.#hour);
      for (const [name, values] of Object.entries(columns)) {
        const rollup = rollups.get(name) ?? emptyRollup(QUARTERS_A_PART);
        rollups.set(name, rollup);
        addToRollup(rollup, values, quarterOf);
      }
      filing.addHour(this.#hour, digest);
    }
    for (const [name, rollup] of rollups) filing.quarters.writePart(name, first / PART_HOURS, rollup);
  }

  #live(hour: number): { columns: Readonly<Record<string, Float64Array>>; digest: HourDigest } {
    const { airCelsius, utcOffsetHours, chance } = this.#options;
    const local = hour + utcOffsetHours;
    const day = Math.floor(local / 24) - Math.floor(this.#firstHour / 24);
    const ofDay = ((local % 24) + 24) % 24;
    // 1 January 1970 was a Thursday.
    const weekday = (Math.floor(local / 24) + 4) % 7;
    const month = new Date(local * HOUR_SECONDS * 1000).getUTCMonth();
    const normals = airCelsius[month]!;
    const weather = 5 * Math.sin(day / 3.1) * chance(Math.floor(day / 4)) + 2 * (chance(day + 1_000) - 0.5);
    const activity = activityIn(day, ofDay, weekday, chance);
    const box = boxOn(day, chance);
    const columns = emptyColumns();
    const digest = emptyDigest();
    const seen: Minute[] = [];
    for (let minute = 0; minute < MINUTES; minute += 1) {
      const here = normals[ofDay]! + ((normals[(ofDay + 1) % 24]! - normals[ofDay]!) * minute) / MINUTES;
      const air = here + weather + 0.1 * (chance(hour * MINUTES + minute) - 0.5);
      const share = activity === null ? 0 : shareOnAir(activity, minute, (index) => chance(hour * 131 + index));
      const lived = this.#minute(air, activity, share, box);
      seen.push(lived);
      for (const [name, column] of Object.entries(columns)) column[minute] = lived.values[name] ?? Number.NaN;
    }
    fillDigest(digest, seen, activity, box, chance(hour + 77_777));
    return { columns, digest };
  }

  #minute(air: number, activity: Activity | null, share: number, box: Box): Minute {
    const drive = (activity?.peakWatts ?? 0) * share;
    const kappa = activity === null ? 0 : (KAPPA[activity.band] ?? 0) * (box.lossFactor[activity.band] ?? 1);
    const loss = drive * kappa;
    const conductance = CORE_WATTS_PER_KELVIN * box.flow ** 0.6;
    const settled = air + loss / (conductance + 0.1) + (0.1 * (this.#wall - air)) / (conductance + 0.1);
    this.#core += (settled - this.#core) * (1 - Math.exp((-60 * (conductance + 0.1)) / CORE_JOULES_PER_KELVIN));
    this.#wall += ((air + 0.15 * (this.#core - air) - this.#wall) * 60) / 900;
    const outlet = air + (conductance * (this.#core - air)) / (AIR_WATTS_PER_KELVIN * box.flow);
    const rpm = box.rpmPerVolt * FAN_VOLTS;
    const upper = this.#core + 6 + 0.06 * (this.#core - air);
    return {
      share,
      core: this.#core,
      upper,
      air,
      outlet,
      wall: this.#wall,
      drive,
      loss,
      values: {
        inlet_celsius: air,
        outlet_celsius: outlet + box.outletOffset,
        wall_celsius: this.#wall,
        ambient_celsius: air,
        humidity_ratio: 0.75,
        fan_rpm: rpm,
        fan_volts: FAN_VOLTS,
        fan_amperes: 0.17,
        drive_watts: drive,
        ...(activity === null ? {} : { frequency_hertz: activity.frequencyHertz }),
        transmitting: share > 0 ? 1 : 0,
        core_celsius: this.#core,
        core_upper_celsius: upper,
        core_uncertainty_kelvin: 2 + 0.02 * (this.#core - air),
        loss_watts: loss,
        airflow_cubic_meters_per_second: (0.0036 * box.flow * rpm) / 11_000,
        flow_factor: box.flow,
        ...(share > 0 && activity !== null ? { loss_factor: box.lossFactor[activity.band] ?? 1 } : {}),
        power_stage: upper > 100 ? 1 : 0,
      },
    };
  }
}

const SERIES = [
  "inlet_celsius",
  "outlet_celsius",
  "wall_celsius",
  "ambient_celsius",
  "humidity_ratio",
  "fan_rpm",
  "fan_volts",
  "fan_amperes",
  "drive_watts",
  "frequency_hertz",
  "transmitting",
  "core_celsius",
  "core_upper_celsius",
  "core_uncertainty_kelvin",
  "loss_watts",
  "airflow_cubic_meters_per_second",
  "flow_factor",
  "loss_factor",
  "power_stage",
];

const emptyColumns = (): Record<string, Float64Array> =>
  Object.fromEntries(SERIES.map((name) => [name, new Float64Array(MINUTES)]));
