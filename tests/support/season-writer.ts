// A process that does nothing but write a season log, as fast as the disk lets it, and says on standard output what it was told is on
// the disk. Others end it at any moment. Arguments: file, run key, number of commits.

import { writeSync } from "node:fs";
import { Store } from "../../daemon/season/store.ts";
import { plainBeat, plainEntry } from "./beat.ts";

/** Rows of one commit: ten seconds. */
export const COMMIT_ROWS = 10;
/** Every so many commits a line of the record. */
const ENTRY_EVERY = 3;
/** After so many commits the clock is set ahead, so that hours end often and are packed. */
const HOUR_EVERY = 25;

export type Told = { readonly row: number; readonly entry: number };

/** Commits until it is ended or `commits` are done. */
export function writeOn(file: string, key: string, commits: number, tell: (told: Told) => void): void {
  const identity = { key, bootId: key, version: "0", simulated: true };
  const store = new Store(file, identity, () => "40 m");
  for (let commit = 1; commit <= commits; commit += 1) {
    const ahead = 3_600 * Math.floor(commit / HOUR_EVERY);
    const rows = Array.from({ length: COMMIT_ROWS }, (_, index) => {
      const beat = plainBeat((commit - 1) * COMMIT_ROWS + index + 1, 40 + ((commit * 7 + index * 13) % 60));
      const atSeconds = beat.outlook.atSeconds + ahead;
      return { ...beat, wallSeconds: beat.wallSeconds + ahead, outlook: { ...beat.outlook, atSeconds } };
    });
    const entry = Math.floor(commit / ENTRY_EVERY);
    const entries = commit % ENTRY_EVERY === 0 ? [plainEntry(entry)] : [];
    store.write({ rows, entries, checkpoint: `{"commit":${commit}}` });
    tell({ row: commit * COMMIT_ROWS, entry });
    store.pack();
  }
  store.close();
}

const [, script, file, key, commits] = process.argv;
if (script?.endsWith("season-writer.js") === true && file !== undefined && key !== undefined) {
  writeOn(file, key, Number(commits ?? 1e9), ({ row, entry }) => writeSync(1, `told ${row} ${entry}\n`));
}
