// What a marked span amounts to: whole hours from their digests, the parts of hours at its ends from their seconds where these are
// still kept. It reads; it never marks a span.

import type { Database } from "better-sqlite3";
import type { Session, SessionSummary } from "../../wire/season.ts";
import type { BandOf } from "../filing.ts";
import { type GatheredRows, gather } from "../gather.ts";
import { type DatedDigest, digestsBetween } from "../hours.ts";
import { blocksOfHour, byDate, type Piece, recentPieces } from "../pieces.ts";
import { HOUR_SECONDS, hourOf, startOf } from "../segment.ts";
import { addUp, cyclesOf, summaryOf } from "./summary.ts";

/** A marked span with its figures; `exact` says whether its ends were still there second by second. */
export function sessionOf(database: Database, session: Session, bandOf: BandOf): SessionSummary {
  const { hours, exact } = hoursOf(database, session.from_seconds, session.to_seconds, bandOf);
  const sum = addUp(hours);
  return { ...session, summary: summaryOf(sum), cycles: cyclesOf(sum), exact };
}

/** Digests that together stand for a span. */
export function hoursOf(
  database: Database,
  fromSeconds: number,
  toSeconds: number,
  bandOf: BandOf,
): { readonly hours: readonly DatedDigest[]; readonly exact: boolean } {
  const [first, last] = [hourOf(fromSeconds), hourOf(toSeconds - 1e-3)];
  const loose = recentPieces(database);
  const hours = new Map(digestsBetween(database, first, last).map((dated) => [dated.hour, dated]));
  for (const hour of new Set(loose.map(({ place }) => hourOf(startOf(place))))) {
    if (hour >= first && hour <= last && !hours.has(hour)) {
      hours.set(hour, { hour, digest: gather(clipped(loose, hour, fromSeconds, toSeconds), bandOf) });
    }
  }
  let exact = true;
  for (const hour of new Set([first, last])) {
    if (fromSeconds <= hour * HOUR_SECONDS && toSeconds >= (hour + 1) * HOUR_SECONDS) continue;
    const pieces = blocksOfHour(database, hour);
    if (pieces.length > 0) {
      hours.set(hour, { hour, digest: gather(clipped(pieces, hour, fromSeconds, toSeconds), bandOf) });
    } else if (hours.has(hour) && !loose.some(({ place }) => hourOf(startOf(place)) === hour)) exact = false;
  }
  return { hours: [...hours.values()].sort((one, other) => one.hour - other.hour), exact };
}

/** Rows of one hour that lie within the span. */
function clipped(pieces: readonly Piece[], hour: number, fromSeconds: number, toSeconds: number): GatheredRows[] {
  return pieces
    .filter(({ place }) => hourOf(startOf(place)) === hour)
    .sort(byDate)
    .map((piece) => {
      const block = piece.open();
      const start = startOf(piece.place);
      const dates = Float64Array.from(block.seconds(), (second) => start + second);
      let from = 0;
      while (from < dates.length && dates[from]! < fromSeconds) from += 1;
      let to = dates.length;
      while (to > from && dates[to - 1]! >= toSeconds) to -= 1;
      return {
        dates: dates.subarray(from, to),
        numbers: (name) => block.numbers(name)?.subarray(from, to) ?? null,
        texts: (name) => block.texts(name)?.slice(from, to) ?? null,
      };
    });
}
