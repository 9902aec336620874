// What happens without asking anybody for a response: cycles missed, the clock lost its trust, the rig link went, a bypass ended.
// Recorded, not alarmed. It compares this cycle with the last and returns the same object while nothing happened.

import type { UpkeepReading } from "../readings.ts";
import type { Journal } from "./journal.ts";

/** What the last cycle saw; null before the first. */
export type Seen = {
  readonly wallTrusted: boolean | null;
  readonly rigLinked: boolean | null;
  /** This cycle began so late that at least one was missed. */
  readonly late: boolean;
};

/** A cycle that begins so late has missed another, s. */
const MISSED_SECONDS = 1;

export const NOTHING_SEEN: Seen = { wallTrusted: null, rigLinked: null, late: false };

/** Notes missed cycles and changes of trust in the clock and of the rig link into the journal. */
export function notice(seen: Seen, upkeep: UpkeepReading, rigLinkSeconds: number, journal: Journal): Seen {
  const age = upkeep.rigLinkAgeSeconds;
  const rigLinked = age === null ? null : age <= rigLinkSeconds;
  const late = upkeep.cycleLateSeconds >= MISSED_SECONDS;
  if (seen.wallTrusted === upkeep.wallTrusted && seen.rigLinked === rigLinked && seen.late === late) return seen;
  if (late && !seen.late) {
    const text = `the program stood still: this cycle began ${upkeep.cycleLateSeconds.toFixed(1)} s late`;
    journal.event("cycles_missed", text);
  }
  if (seen.wallTrusted !== upkeep.wallTrusted) {
    if (!upkeep.wallTrusted) journal.event("clock_untrusted", "the wall clock is not synchronised");
    else if (seen.wallTrusted === false) journal.event("clock_trusted", "the wall clock is synchronised");
  }
  if (seen.rigLinked !== rigLinked) {
    if (rigLinked === false) {
      journal.event("rig_link_lost", `nothing heard from the rig for ${age?.toFixed(0)} s`);
    } else if (rigLinked === true && seen.rigLinked === false) {
      journal.event("rig_link_back", "the rig is heard again");
    }
  }
  return { wallTrusted: upkeep.wallTrusted, rigLinked, late };
}
