// How soon an alarm wants its response: seconds below two minutes, minutes and hours below a day, days above. It measures nothing.

import type { AlarmRow } from "../../daemon/wire/alarm.ts";
import { type Figures, joined } from "../figures.ts";

const DAY_SECONDS = 86_400;

/** In the unit that fits, with its number. */
export function respondTime(
  { respond_within_seconds: seconds }: Pick<AlarmRow, "respond_within_seconds">,
  figures: Figures,
): string {
  if (seconds >= DAY_SECONDS) return figures.days(seconds / DAY_SECONDS);
  return joined(seconds < 120 ? { number: figures.number(seconds, 0), unit: "s" } : figures.duration(seconds));
}
