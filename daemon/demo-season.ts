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

/**
 * Looks at once whether the log is empty and enters the record's lines, so that they stand before the first of today; the season
 * follows a little later. Resolves when all is written or the log went away.
 */
export async function plantDemoSeason(log: SeasonLog, version: string, clock: Clock): Promise<void> {
  if (!log.isEmpty()) return;
  const season = new DemoSeason({
    nowSeconds: clock.wallSeconds(),
    airCelsius: CLIMATE_NORMALS,
    utcOffsetHours: UTC_OFFSET_HOURS,
    chance: (index) => noiseAt(SEED, index),
    version,
  });
  if (log.beside((database) => season.begin(database)) === null) return;
  let pauseSeconds = FIRST_SECONDS;
  let more = true;
  while (more) {
    await new Promise<void>((resolve) => clock.after(pauseSeconds, resolve));
    pauseSeconds = PAUSE_SECONDS;
    more = log.beside((_database, filing) => season.write(filing, SLICE_DAYS)) ?? false;
  }
}
