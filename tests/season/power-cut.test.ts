// A power cut leaves of what was not yet forced to the medium any sectors it likes. Here that is done to the log's own files: of the
// commit under way, or of the journal's copying into the file, a random part of the sectors arrives. What was committed must stay.

import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { Store } from "../../daemon/season/store.ts";
import { type Random, seededRandom } from "../../hardware/simulated/random.ts";
import { plainBeat, plainEntry } from "../support/beat.ts";
import { testFolderPath } from "../support/folder.ts";
import { killAfter } from "../support/killed-writer.ts";
import { lookAfter } from "../support/season-after.ts";
import { COMMIT_ROWS } from "../support/season-writer.ts";

const SECTOR = 512;
const COMMITS = 40;
const KEY = "cut";
const { folder, remove } = testFolderPath();
afterAll(remove);

/** `before` with a random part of the sectors in which `after` differs. */
function torn(before: Buffer, after: Buffer, random: Random): Buffer {
  const size = random.unit() < 0.5 ? after.length : Math.max(before.length, Math.floor(random.unit() * after.length));
  const mixed = Buffer.alloc(size);
  before.copy(mixed);
  for (let at = 0; at < size; at += SECTOR) {
    if (random.unit() < 0.5) after.copy(mixed, at, at, Math.min(at + SECTOR, size));
  }
  return mixed;
}

describe("a cut in the middle of a commit", () => {
  const states: { readonly database: Buffer; readonly journal: Buffer }[] = [];

  beforeAll(() => {
    const file = join(folder, "season.db");
    const store = new Store(file, { key: KEY, bootId: KEY, version: "0", simulated: true }, () => "40 m");
    const keep = () => states.push({ database: readFileSync(file), journal: readFileSync(`${file}-wal`) });
    keep();
    for (let commit = 1; commit <= COMMITS; commit += 1) {
      const rows = Array.from({ length: COMMIT_ROWS }, (_, index) => {
        const beat = plainBeat((commit - 1) * COMMIT_ROWS + index + 1);
        const ahead = commit > COMMITS / 2 ? 3_600 : 0;
        return {
          ...beat,
          wallSeconds: beat.wallSeconds + ahead,
          outlook: { ...beat.outlook, atSeconds: beat.outlook.atSeconds + ahead },
        };
      });
      store.write({ rows, entries: [plainEntry(commit)], checkpoint: `{"commit":${commit}}` });
      keep();
    }
    store.close();
  });

  it("every commit is forced to the medium before it counts", () => {
    const store = new Store(
      join(folder, "forced.db"),
      { key: "f", bootId: "f", version: "0", simulated: true },
      () => null,
    );
    // 2 is FULL: in a WAL each commit waits for the medium (sqlite.org/pragma.html#pragma_synchronous).
    expect(store.database.pragma("synchronous", { simple: true })).toBe(2);
    store.close();
  });

  it("keeps every earlier commit whole, and of the one under way all or nothing", () => {
    const random = seededRandom(20_251);
    for (let trial = 0; trial < 40; trial += 1) {
      const commit = random.below(COMMITS);
      const [before, after] = [states[commit]!, states[commit + 1]!];
      const place = join(folder, `trial-${trial}`);
      mkdirSync(place);
      const file = join(place, "season.db");
      writeFileSync(file, torn(before.database, after.database, random));
      writeFileSync(`${file}-wal`, torn(before.journal, after.journal, random));
      const kept = lookAfter(file, KEY);
      expect(kept).toMatchObject({ faults: [], holes: 0 });
      expect([commit, commit + 1]).toContain(kept.entry);
      expect(kept.row).toBe(kept.entry * COMMIT_ROWS);
    }
  });

  it("keeps everything when it comes while the journal is copied into the file", () => {
    const random = seededRandom(20_252);
    const whole = states.at(-1)!;
    const place = join(folder, "copied");
    mkdirSync(place);
    const copied = join(place, "season.db");
    writeFileSync(copied, whole.database);
    writeFileSync(`${copied}-wal`, whole.journal);
    const store = new Store(copied, { key: "copier", bootId: "copier", version: "0", simulated: true }, () => null);
    store.close();
    const after = readFileSync(copied);
    for (let trial = 0; trial < 15; trial += 1) {
      const file = join(folder, `copy-${trial}.db`);
      writeFileSync(file, torn(whole.database, after, random));
      writeFileSync(`${file}-wal`, whole.journal);
      expect(lookAfter(file, KEY)).toEqual({ faults: [], row: COMMITS * COMMIT_ROWS, entry: COMMITS, holes: 0 });
    }
  });
});

describe("a writer that is killed", () => {
  it("keeps all it was told is kept, at eight moments in one file", async () => {
    const random = seededRandom(20_253);
    const file = join(folder, "killed.db");
    for (let kill = 0; kill < 8; kill += 1) {
      const key = `kill ${kill}`;
      const told = await killAfter(file, key, 1 + random.below(60), () => Promise.resolve());
      const kept = lookAfter(file, key);
      expect(kept).toMatchObject({ faults: [], holes: 0 });
      expect(kept.row).toBeGreaterThanOrEqual(told.row);
      expect(kept.entry).toBeGreaterThanOrEqual(told.entry);
    }
  });
});
