// How soon an alarm wants its response: seconds below two minutes, minutes and hours above. It measures nothing.

import type { AlarmRow } from "../../daemon/wire/alarm.ts";
import { type Figures, joined } from "../figures.ts";

/** In the unit that fits, with its number. */
export function respondTime(
  { respond_within_seconds: seconds }: Pick<AlarmRow, "respond_within_seconds">,
  figures: Figures,
): string {
  return joined(seconds < 120 ? { number: figures.number(seconds, 0), unit: "s" } : figures.duration(seconds));
}
