// A year of seconds made up for measuring the log: weather, an operator's evenings and contests, a core that warms and cools,
// sensors with the noise and steps of real chips. Made to be as hard to pack as real rows; it is no physics to believe.

import { CLIMATE_NORMALS } from "../../daemon/core/estimate/climate-normals.ts";
import type { Columns } from "../../daemon/season/block.ts";
import { COLUMNS } from "../../daemon/season/columns.ts";
import { seededRandom } from "../../hardware/simulated/random.ts";

/** The quantities that cost: each has a value in every second. */
export const FOURTEEN = [
  "inlet_celsius",
  "outlet_celsius",
  "wall_celsius",
  "ambient_celsius",
  "humidity_ratio",
  "fan_rpm",
  "fan_volts",
  "fan_amperes",
  "drive_watts",
  "core_celsius",
  "core_upper_celsius",
  "loss_watts",
  "airflow_cubic_meters_per_second",
  "flow_factor",
] as const;
/** What goes with them and stands still most of the time. */
const FLAGS = ["frequency_hertz", "transmitting", "power_stage", "relay_permit", "relay_readback"] as const;
/** The rest of the numbers that the daemon keeps. */
const REST = [
  "fan_regularity",
  "core_uncertainty_kelvin",
  "loss_factor",
  "sustainable_watts",
  "disagreement_kelvin",
  "cycle_duration_seconds",
  "cycle_late_seconds",
] as const;

const HOUR = 3_600;
const BANDS_HERTZ = [3_573_000, 7_074_000, 14_074_000, 21_074_000];
const NOISE = 65_536;

/** Makes hours in order; the state of the core goes on from one to the next. */
export class MadeSeason {
  readonly #random;
  readonly #noise: Float64Array;
  readonly #all: boolean;
  #at = 0;
  #core = 20;
  #wall = 20;
  #outlet = 20;
  #flow = 1;

  /** `all`: every number the daemon keeps, not only the fourteen. */
  constructor(seed: number, all = false) {
    this.#random = seededRandom(seed);
    this.#noise = Float64Array.from({ length: NOISE }, () => this.#random.normal());
    this.#all = all;
  }

  /** The rows of hour `hour` since 1970. */
  hour(hour: number): Columns {
    const seconds = Int32Array.from({ length: HOUR }, (_, second) => second);
    const numbers: Record<string, Float64Array> = {};
    const texts: Record<string, (string | null)[]> = {};
    for (const { name, step } of COLUMNS) {
      if (step === null) texts[name] = new Array<string | null>(HOUR).fill(null);
      else numbers[name] = new Float64Array(HOUR).fill(Number.NaN);
    }
    const names = [...FOURTEEN, ...FLAGS, ...(this.#all ? REST : [])];
    const into = Object.fromEntries(names.map((name) => [name, numbers[name]!])) as Record<
      (typeof FOURTEEN | typeof FLAGS | typeof REST)[number],
      Float64Array
    >;
    this.#fill(hour, into, texts["mode"]!);
    texts["fan"]!.fill("turning");
    return { seconds, numbers, texts };
  }

  #next(): number {
    this.#at = (this.#at + 1) & (NOISE - 1);
    return this.#noise[this.#at]!;
  }

  #fill(hour: number, into: Readonly<Record<string, Float64Array>>, mode: (string | null)[]): void {
    const day = Math.floor(hour / 24);
    const ofDay = hour % 24;
    const month = Math.floor((day % 365.25) / 30.44) % 12;
    const normal = CLIMATE_NORMALS[month]!;
    const [here, next] = [normal[ofDay]!, normal[(ofDay + 1) % 24]!];
    const weekend = day % 7 === 2 || day % 7 === 3;
    const contest = weekend && day % 28 < 7;
    const evening = ofDay >= 18 && ofDay <= 21 && day % 7 !== 5;
    const active = contest || evening;
    // The table goes on from another place each hour, so that no hour repeats another.
    this.#at = this.#random.below(NOISE);
    const band = BANDS_HERTZ[(day + ofDay) % BANDS_HERTZ.length]!;
    const kappa = 0.03 + 0.01 * ((day + ofDay) % 4);
    const peak = contest ? 1_200 : 800;
    let keyed = false;
    let left = 0;
    let watts = 0;
    const put = (name: string, second: number, value: number): void => {
      const column = into[name];
      if (column !== undefined) column[second] = value;
    };
    for (let second = 0; second < HOUR; second += 1) {
      const outside = here + ((next - here) * second) / HOUR + 0.3 * Math.sin(hour * 1.7 + second / 400);
      if (active && left <= 0) {
        keyed = !keyed;
        left = Math.round(keyed ? 6 + 25 * this.#random.unit() : 8 + 60 * this.#random.unit());
        watts = peak * (0.9 + 0.1 * this.#random.unit());
      }
      if (!active) keyed = false;
      left -= 1;
      const drive = keyed ? watts * (1 + 0.004 * this.#next()) : 0;
      const loss = drive * kappa;
      const rpm = 10_980 + 25 * this.#next();
      const carried = 0.55 * (this.#core - outside);
      this.#core += (loss - carried - 0.1 * (this.#core - this.#wall)) / 260;
      this.#wall += (0.1 * (this.#core - this.#wall) - 0.5 * (this.#wall - outside)) / 900;
      this.#outlet += (outside + carried / 4.2 - this.#outlet) / 8;
      this.#flow += 1e-4 * this.#next() + 1e-5 * (0.97 - this.#flow);
      put("inlet_celsius", second, outside + 0.08 * this.#next());
      put("outlet_celsius", second, this.#outlet + 0.08 * this.#next());
      put("wall_celsius", second, Math.round((this.#wall + 0.08 * this.#next()) * 16) / 16);
      put("ambient_celsius", second, outside + 0.08 * this.#next());
      put("humidity_ratio", second, 0.7 + 0.1 * Math.sin(hour / 4) + 0.003 * this.#next());
      put("fan_rpm", second, rpm);
      put("fan_volts", second, Math.round((12 + 0.004 * this.#next()) / 0.004) * 0.004);
      put("fan_amperes", second, 0.17 + 0.001 * this.#next());
      put("drive_watts", second, drive);
      put("core_celsius", second, this.#core + 0.02 * this.#next());
      put("core_upper_celsius", second, this.#core + 9 + 0.05 * (this.#core - outside) + 0.04 * this.#next());
      put("loss_watts", second, Math.max(0, loss + 0.3 * this.#next()));
      put("airflow_cubic_meters_per_second", second, 0.0036 * this.#flow * (rpm / 10_980));
      put("flow_factor", second, this.#flow);
      put("frequency_hertz", second, active ? band : Number.NaN);
      put("transmitting", second, keyed ? 1 : 0);
      put("power_stage", second, 0);
      put("relay_permit", second, 3);
      put("relay_readback", second, 3);
      put("fan_regularity", second, 0.99);
      put("core_uncertainty_kelvin", second, 2 + 0.05 * (this.#core - outside) + 0.01 * this.#next());
      put("loss_factor", second, keyed ? 1 + 0.002 * this.#next() : Number.NaN);
      put("sustainable_watts", second, 1_100 - 3 * outside + this.#next());
      put("disagreement_kelvin", second, 0.1 + 0.03 * this.#next());
      put("cycle_duration_seconds", second, 0.004 + 0.0003 * this.#next());
      put("cycle_late_seconds", second, 0.001);
      mode[second] = active ? "CW" : null;
    }
  }
}
