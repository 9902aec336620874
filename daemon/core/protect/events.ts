// What happens without asking anybody for a response: the clock lost its trust, the rig link went, a bypass ended. Recorded, not alarmed.
// It compares this cycle with the last and returns the same object while nothing happened.

import type { RecordEntry } from "../effects.ts";
import type { UpkeepReading } from "../readings.ts";

/** What the last cycle saw; null before the first. */
export type Seen = {
  readonly wallTrusted: boolean | null;
  readonly rigLinked: boolean | null;
};

export const NOTHING_SEEN: Seen = { wallTrusted: null, rigLinked: null };

/** An entry that nobody asked for. */
export function event(atSeconds: number, tag: string, text: string): RecordEntry {
  return { atSeconds, kind: "event", tag, text, by: null };
}

/** Notes changes of trust in the clock and of the rig link into `record`. */
export function notice(
  seen: Seen,
  upkeep: UpkeepReading,
  rigLinkSeconds: number,
  record: RecordEntry[],
  nowSeconds: number,
): Seen {
  const age = upkeep.rigLinkAgeSeconds;
  const rigLinked = age === null ? null : age <= rigLinkSeconds;
  if (seen.wallTrusted === upkeep.wallTrusted && seen.rigLinked === rigLinked) return seen;
  if (seen.wallTrusted !== upkeep.wallTrusted) {
    if (!upkeep.wallTrusted) record.push(event(nowSeconds, "clock_untrusted", "the wall clock is not synchronised"));
    else if (seen.wallTrusted === false)
      record.push(event(nowSeconds, "clock_trusted", "the wall clock is synchronised"));
  }
  if (seen.rigLinked !== rigLinked) {
    if (rigLinked === false) {
      record.push(event(nowSeconds, "rig_link_lost", `nothing heard from the rig for ${age?.toFixed(0)} s`));
    } else if (rigLinked === true && seen.rigLinked === false) {
      record.push(event(nowSeconds, "rig_link_back", "the rig is heard again"));
    }
  }
  return { wallTrusted: upkeep.wallTrusted, rigLinked };
}
