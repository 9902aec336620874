// The year: every second of it filed hour by hour by the log's own filing, then asked for charts.

import { statSync } from "node:fs";
import { join } from "node:path";
import { openDatabase } from "../../../daemon/season/connection.ts";
import { Filing } from "../../../daemon/season/filing.ts";
import { readHistory } from "../../../daemon/season/history.ts";
import { fileBytes } from "../../../daemon/season/retention.ts";
import { HOUR_SECONDS } from "../../../daemon/season/segment.ts";
import { enterRun } from "../../../daemon/season/store.ts";
import type { HistorySeries } from "../../../daemon/wire/history.ts";
import { type Random, seededRandom } from "../../../hardware/simulated/random.ts";
import { MadeSeason } from "../../support/made-season.ts";
import { type Figure, percentile, timed } from "./figures.ts";

/** 1 January 2025, UTC. */
export const FIRST_HOUR = 482_136;
const CHARTED: readonly HistorySeries[] = ["core_celsius", "core_upper_celsius", "outlet_celsius", "inlet_celsius"];
const ASKED = 200;

/** Files `days` days into a new file in `folder`. */
export function fileDays(folder: string, days: number, all: boolean): { readonly file: string; readonly rows: number } {
  const file = join(folder, `season-${days}-${all ? "all" : "fourteen"}.db`);
  const database = openDatabase(file);
  // The year is filed at once and its writing is measured elsewhere.
  database.pragma("synchronous = OFF");
  const run = enterRun(database, { key: "bench", bootId: "bench", version: "0", simulated: true });
  const filing = new Filing(database, () => "40 m");
  const season = new MadeSeason(1, all);
  let number = 1;
  for (let day = 0; day < days; day += 1) {
    database.transaction(() => {
      for (let hour = FIRST_HOUR + day * 24; hour < FIRST_HOUR + (day + 1) * 24; hour += 1) {
        const place = {
          firstNumber: number,
          lastNumber: number + HOUR_SECONDS - 1,
          rows: HOUR_SECONDS,
          firstMonotonicSeconds: number,
          offsetSeconds: hour * HOUR_SECONDS - number,
          trusted: true,
        };
        filing.addBlock(run, { place, columns: season.hour(hour) });
        filing.rebuild(hour);
        number += HOUR_SECONDS;
      }
    })();
  }
  database.pragma("wal_checkpoint(TRUNCATE)");
  database.close();
  return { file, rows: number - 1 };
}

/** Milliseconds of `ASKED` charts of `spanSeconds`, anywhere in the file. */
export function chartTimes(file: string, days: number, spanSeconds: number, random: Random): readonly number[] {
  const database = openDatabase(file);
  const room = days * 86_400 - spanSeconds;
  const times: number[] = [];
  for (let asked = 0; asked < ASKED; asked += 1) {
    const fromSeconds = FIRST_HOUR * HOUR_SECONDS + Math.floor(random.unit() * room);
    const query = { fromSeconds, toSeconds: fromSeconds + spanSeconds, points: 1_000, series: CHARTED };
    const { result, milliseconds } = timed(() => readHistory(database, query));
    const longest = Math.max(...Object.values(result.series).map((points) => points.length));
    if (longest > 1_000 || longest < Math.min(900, 3 * days)) throw new Error(`a chart of ${longest} points`);
    times.push(milliseconds);
  }
  database.close();
  return times;
}

export function yearFigures(folder: string, days: number): readonly Figure[] {
  const filed = timed(() => fileDays(folder, days, true));
  const { file, rows } = filed.result;
  const database = openDatabase(file);
  const { used } = fileBytes(database);
  const sum = (sql: string): number => database.prepare<[], number>(sql).pluck().get() ?? 0;
  const seconds = sum("SELECT sum(length(body)) FROM block");
  const minutes = sum("SELECT sum(length(minutes)) FROM hour");
  const quarters = sum(
    "SELECT sum(length(cells)) FROM (SELECT cells FROM quarter UNION ALL SELECT cells FROM quarter_sum)",
  );
  const digests = sum("SELECT sum(length(digest)) FROM hour");
  database.close();
  const random = seededRandom(7);
  const spans: readonly (readonly [string, number, number | null])[] = [
    [`the whole ${days} days`, days * 86_400 - 1, 50],
    ["a month", 30 * 86_400, null],
    ["a week", 7 * 86_400, null],
    ["a day, from its seconds", 86_400, 30],
    ["an hour", 3_600, null],
  ];
  const charts = spans
    .filter(([, span]) => span < days * 86_400)
    .flatMap(([name, span, wanted]): readonly Figure[] => {
      const times = chartTimes(file, days, span, random);
      return [
        { what: `chart of ${name}: four series, p50`, value: percentile(times, 0.5), unit: "ms", wanted: null },
        { what: `  p95`, value: percentile(times, 0.95), unit: "ms", wanted },
      ];
    });
  return [
    { what: "seconds filed", value: rows, unit: "rows", wanted: null },
    { what: "filing them, with rollups and digests", value: filed.milliseconds / 1000, unit: "s", wanted: null },
    { what: "file on disk", value: statSync(file).size / 1e6, unit: "MB", wanted: null },
    { what: "per second-row, all that is kept, 26 quantities", value: used / rows, unit: "byte", wanted: 12 },
    { what: "  of these the seconds", value: seconds / rows, unit: "byte", wanted: null },
    { what: "  the minutes", value: minutes / rows, unit: "byte", wanted: null },
    { what: "  the quarter hours", value: quarters / rows, unit: "byte", wanted: null },
    { what: "  the digests", value: digests / rows, unit: "byte", wanted: null },
    ...charts,
  ];
}
