// What a season log kept of a run: whether every second that was measured is there, and how far apart the seconds were.

import { join } from "node:path";
import { openReadOnly } from "../../daemon/season/connection.ts";
import { readRows } from "../../daemon/season/rows.ts";
import { verifySeason } from "../../daemon/season/verify.ts";

/** Of the live run; demo data beside it do not count. */
export type Kept = {
  readonly rows: number;
  /** Rows that were written and are not there, or twice. */
  readonly holes: number;
  /** From the first row to the last, s of the run's own clock. */
  readonly spanSeconds: number;
  /** Seconds of that clock in which no cycle ran: the whole seconds missing between rows. */
  readonly missedSeconds: number;
  readonly widestGapSeconds: number;
  /** What the log says is wrong with itself. */
  readonly faults: readonly string[];
  /** Entries of the record that speak of trouble in the daemon itself. */
  readonly troubles: readonly string[];
};

/** Tags of entries that no healthy run has. */
const TROUBLE = /^(cycle-failed|relay-release|supervisor|service-restart|service-refused|buzzer-failed)$/;

const NEVER = 1e12;

export function keptIn(folder: string): Kept {
  const database = openReadOnly(join(folder, "simulated.db"));
  try {
    const live = database.prepare<[], number>("SELECT id FROM run WHERE source = 'live'").pluck().all();
    const [run] = live;
    if (run === undefined || live.length !== 1) throw new Error(`${folder}: expected one live run, got ${live.length}`);
    let [rows, holes, missed, widest] = [0, 0, 0, 0];
    let [first, last, lastNumber] = [Number.NaN, Number.NaN, 0];
    for (const row of readRows(database, [], 0, NEVER)) {
      if (row.run !== run) continue;
      if (row.number !== lastNumber + 1) holes += 1;
      if (rows === 0) first = row.monotonicSeconds;
      else {
        const gap = row.monotonicSeconds - last;
        widest = Math.max(widest, gap);
        missed += Math.max(0, Math.round(gap) - 1);
      }
      [last, lastNumber] = [row.monotonicSeconds, row.number];
      rows += 1;
    }
    const entries = database
      .prepare<[number], { tag: string; text: string }>("SELECT tag, text FROM entry WHERE run = ?")
      .all(run);
    return {
      rows,
      holes,
      spanSeconds: last - first,
      missedSeconds: missed,
      widestGapSeconds: widest,
      faults: verifySeason(database).faults,
      troubles: entries.filter(({ tag }) => TROUBLE.test(tag)).map(({ tag, text }) => `${tag}: ${text}`),
    };
  } finally {
    database.close();
  }
}
