// The record by pages on a real log: newest first, by kind, and a new line moves nothing that was read.

import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { SeasonLog } from "../../daemon/season/log.ts";
import { recordPage } from "../../daemon/season/record-page.ts";
import { plainBeat, plainEntry } from "../support/beat.ts";
import { testFolderPath } from "../support/folder.ts";

const NOW = { seconds: 20, wallSeconds: 1_790_000_000, wallTrusted: true };
let folder: ReturnType<typeof testFolderPath>;
let log: SeasonLog;

beforeEach(() => {
  folder = testFolderPath();
  const run = { key: "run", bootId: "boot", version: "0", simulated: true };
  const retention = { keepSeconds: 1e9, mostBytes: 1e9 };
  log = new SeasonLog({ file: join(folder.folder, "season.db"), run, retention, bandOf: () => "40 m" }, 0);
  const kinds = ["alarm", "stage", "command"] as const;
  const entries = Array.from(
    { length: 12 },
    (_, index): ReturnType<typeof plainEntry> => ({
      ...plainEntry(index + 1),
      kind: kinds[index % 3] ?? "event",
      text: `line ${index + 1}`,
    }),
  );
  log.take([plainBeat(1, 40)], entries, null, NOW);
});
afterEach(() => {
  log.close(30);
  folder.remove();
});

const ALL = ["alarm", "stage", "command", "note"] as const;
const texts = (page: ReturnType<typeof recordPage>): readonly string[] => page.lines.map(({ text }) => text);

describe("the record by pages", () => {
  it("goes from the newest back to the first, whole and once, although lines come meanwhile", () => {
    const seen: string[] = [];
    let before: number | null = null;
    for (let page = 0; page < 4; page += 1) {
      const read = recordPage(log.database, { before, lines: 5, kinds: ALL });
      seen.push(...texts(read));
      log.take([], [{ ...plainEntry(100 + page), kind: "note", text: "meanwhile" }], null, NOW);
      before = read.before;
      if (before === null) break;
    }
    expect(seen).toEqual(Array.from({ length: 12 }, (_, index) => `line ${12 - index}`));
    expect(before).toBeNull();
  });

  it("shows only the kinds that are asked for, and says when there are no earlier ones", () => {
    const alarms = recordPage(log.database, { before: null, lines: 4, kinds: ["alarm"] });
    expect(texts(alarms)).toEqual(["line 10", "line 7", "line 4", "line 1"]);
    expect(alarms.before).toBeNull();
    expect(recordPage(log.database, { before: null, lines: 3, kinds: ["alarm"] }).before).not.toBeNull();
    expect(recordPage(log.database, { before: null, lines: 3, kinds: [] })).toEqual({ lines: [], before: null });
  });

  it("keeps the order of what happened and loses no line while the clock of a boot is not set, is set, or never was", () => {
    const { file, take, close } = bootsIn(folder.folder);
    // Each starts with the clock that the system saved an hour before, and only the second is ever set.
    take("never set", [[1, NOW.wallSeconds - 3_600, false]]);
    take("set", [
      [1, NOW.wallSeconds - 7_200, false],
      [2, NOW.wallSeconds - 7_199, false],
    ]);
    const first = recordPage(file().database, { before: null, lines: 2, kinds: ["note"] });
    file().take([{ ...plainBeat(3), wallSeconds: NOW.wallSeconds + 500 }], [], null, { ...NOW, seconds: 60 });
    const rest = recordPage(file().database, { before: first.before, lines: 2, kinds: ["note"] });
    expect([...texts(first), ...texts(rest)]).toEqual(["set 2", "set 1", "never set 1"]);
    expect(rest.before).toBeNull();
    const again = recordPage(file().database, { before: null, lines: 3, kinds: ["note"] });
    expect(texts(again)).toEqual([...texts(first), ...texts(rest)]);
    expect(again.lines.map(({ wall_trusted }) => wall_trusted)).toEqual([true, true, false]);
    expect(again.lines[0]!.wall_seconds).toBeCloseTo(NOW.wallSeconds + 499, 3);
    close();
  });
});

/** A log that is opened anew by one boot after the other; lines are [number, wall seconds, trusted]. */
function bootsIn(folder: string) {
  let open: SeasonLog | null = null;
  return {
    file: (): SeasonLog => open!,
    take: (boot: string, lines: readonly (readonly [number, number, boolean])[]): void => {
      open?.close(30);
      const run = { key: boot, bootId: boot, version: "0", simulated: true };
      const retention = { keepSeconds: 1e9, mostBytes: 1e9 };
      open = new SeasonLog({ file: join(folder, "boots.db"), run, retention, bandOf: () => "40 m" }, 0);
      for (const [number, wallSeconds, wallTrusted] of lines) {
        const entry = { ...plainEntry(number), atSeconds: 100 + number, wallSeconds, wallTrusted };
        open.take([], [{ ...entry, kind: "note", text: `${boot} ${number}` }], null, NOW);
      }
    },
    close: () => open?.close(30),
  };
}
