// Plants the demo season in the simulated feedpoint's empty log, a slice at a time between other work of the service thread.
// It never touches a log that has anything in it, and never a real feedpoint's.

import type { Clock } from "../hardware/ports.ts";
import { noiseAt } from "../hardware/simulated/random.ts";
import { CLIMATE_NORMALS } from "./core/estimate/climate-normals.ts";
import { DemoSeason } from "./season/demo/season.ts";
import type { SeasonLog } from "./season/log.ts";

const SEED = 20_260;
/** The climate normals are of a place at UTC−8. */
const UTC_OFFSET_HOURS = -8;
const SLICE_DAYS = 16;
const PAUSE_SECONDS = 0.01;
/** The first frame goes out before the season takes its share of the thread. */
const FIRST_SECONDS = 0.3;

/** Looks at once whether the log is empty, begins a little later; resolves when all is written or the log went away. */
export async function plantDemoSeason(log: SeasonLog, version: string, clock: Clock): Promise<void> {
  if (!log.isEmpty()) return;
  await new Promise<void>((resolve) => clock.after(FIRST_SECONDS, resolve));
  const season = new DemoSeason({
    nowSeconds: clock.wallSeconds(),
    airCelsius: CLIMATE_NORMALS,
    utcOffsetHours: UTC_OFFSET_HOURS,
    chance: (index) => noiseAt(SEED, index),
    version,
  });
  let more = true;
  while (more) {
    more = log.beside((database, filing) => season.write(database, filing, SLICE_DAYS)) ?? false;
    await new Promise<void>((resolve) => clock.after(PAUSE_SECONDS, resolve));
  }
}
