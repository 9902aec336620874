// What is in a season log after its writer was cut off: per run its rows and entries, whether any is missing between, and whether
// the file is whole. Opening it is what the daemon does at its next start.

import { existsSync } from "node:fs";
import { readRows } from "../../daemon/season/rows.ts";
import { Store } from "../../daemon/season/store.ts";
import { verifySeason } from "../../daemon/season/verify.ts";

export type After = {
  readonly faults: readonly string[];
  /** Highest number kept of the run asked for. */
  readonly row: number;
  readonly entry: number;
  /** Rows or entries missing below the highest, or doubled. */
  readonly holes: number;
};

export function lookAfter(file: string, key: string): After {
  if (!existsSync(file)) return { faults: ["no file"], row: 0, entry: 0, holes: 0 };
  const store = new Store(file, { key, bootId: key, version: "0", simulated: true }, () => "40 m");
  try {
    while (store.pack());
    const { faults } = verifySeason(store.database);
    const numbers = [...readRows(store.database, [], 0, 4e9)]
      .filter(({ run }) => run === store.run)
      .map(({ number }) => number);
    const entries = store.database
      .prepare<[number], number>("SELECT number FROM entry WHERE run = ? ORDER BY number")
      .pluck()
      .all(store.run);
    const gaps = (found: readonly number[]): number => {
      const sorted = [...found].sort((one, other) => one - other);
      return sorted.filter((number, index) => number !== index + 1).length;
    };
    return { faults, row: Math.max(0, ...numbers), entry: entries.at(-1) ?? 0, holes: gaps(numbers) + gaps(entries) };
  } finally {
    store.close();
  }
}
