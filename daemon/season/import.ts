// Rows of a recording into the log, marked as imported, all of them or none. It files what it is given; where the rows come from
// and what they mean it does not know.

import type { Database } from "better-sqlite3";
import { type Cell, COLUMNS } from "./columns.ts";
import { type BandOf, Filing } from "./filing.ts";
import { LAYOUT } from "./schema.ts";
import { type FiledRow, hourOf, segmentsOf, startOf } from "./segment.ts";
import { enterRun, type RunIdentity } from "./store.ts";

/** One row by the names of the log's columns; a name that is missing has no value. */
export type ImportedRow = { readonly dateSeconds: number; readonly cells: Readonly<Record<string, Cell>> };

/** The same recording is in the log already. */
export class AlreadyImported extends Error {
  constructor(name: string) {
    super(`${name} is in the log already`);
    this.name = "AlreadyImported";
  }
}

const CHUNK = 3_600;

/** Returns how many rows were filed. @throws AlreadyImported when this run's key is known */
export function importRows(database: Database, run: RunIdentity, rows: Iterable<ImportedRow>, bandOf: BandOf): number {
  const known = database.prepare<[string], number>("SELECT EXISTS (SELECT 1 FROM run WHERE key = ?)").pluck();
  return database.transaction((): number => {
    if (known.get(run.key) === 1) throw new AlreadyImported(run.name ?? run.key);
    const id = enterRun(database, { ...run, source: "imported" });
    const filing = new Filing(database, bandOf);
    const hours = new Set<number>();
    let number = 0;
    let held: FiledRow[] = [];
    const file = (): void => {
      for (const segment of segmentsOf(LAYOUT, held)) {
        hours.add(hourOf(startOf(segment.place)));
        filing.addBlock(id, segment);
      }
      held = [];
    };
    for (const { dateSeconds, cells } of rows) {
      number += 1;
      const ordered = COLUMNS.map(({ name }) => cells[name] ?? null);
      held.push({ number, monotonicSeconds: dateSeconds, wallSeconds: dateSeconds, wallTrusted: true, cells: ordered });
      if (held.length === CHUNK) file();
    }
    file();
    for (const hour of hours) filing.rebuild(hour);
    return number;
  })();
}
