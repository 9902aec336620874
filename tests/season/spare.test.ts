// The spare place on a real disk: what is kept, taken out, cut short, and a disk without a free block.

import { execFileSync } from "node:child_process";
import {
  closeSync,
  ftruncateSync,
  mkdirSync,
  openSync,
  readFileSync,
  statSync,
  writeFileSync,
  writeSync,
} from "node:fs";
import { join } from "node:path";
import { describe, expect, it, onTestFinished } from "vitest";
import { Spare, spareText } from "../../daemon/season/spare.ts";
import { testFolder } from "../support/folder.ts";

const WHOLE_BYTES = 65_536;
const fileIn = (folder: string): string => join(folder, "season.db.spare");

function opened(file: string): Spare {
  const spare = new Spare(file);
  onTestFinished(() => spare.close());
  return spare;
}

describe("a spare place", () => {
  it("is whole and empty at first, and nobody else's to read", () => {
    const file = fileIn(testFolder());
    expect(spareText(file)).toBeNull();
    expect(opened(file).isInUse).toBe(false);
    expect(spareText(file)).toBeNull();
    const { size, blocks, mode } = statSync(file);
    expect(size).toBe(WHOLE_BYTES);
    expect(blocks * 512).toBeGreaterThanOrEqual(WHOLE_BYTES);
    expect(mode & 0o777).toBe(0o600);
  });

  it("gives back the newest text, also to another program, until it is taken out", () => {
    const file = fileIn(testFolder());
    const spare = opened(file);
    spare.keep("a longer text, with a µ in it".repeat(50));
    spare.keep("a short one");
    expect(spareText(file)).toBe("a short one");
    expect(opened(file).isInUse).toBe(true);
    spare.clear();
    expect(spareText(file)).toBeNull();
    expect(spare.isInUse).toBe(false);
  });

  it("refuses what finds no room, and keeps what was there", () => {
    const file = fileIn(testFolder());
    const spare = opened(file);
    spare.keep("before");
    const random = Array.from({ length: 40_000 }, (_, index) =>
      String.fromCharCode(32 + ((index * 7919 * index) % 60_000)),
    );
    expect(() => spare.keep(random.join(""))).toThrow(RangeError);
    expect(spareText(file)).toBe("before");
  });

  it("is spoilt, not older, when power goes between its two writes", () => {
    const file = fileIn(testFolder());
    const spare = opened(file);
    spare.keep("the first");
    const head = readFileSync(file).subarray(0, 512);
    spare.keep("the second, which is longer");
    const between = openSync(file, "r+");
    writeSync(between, head, 0, head.length, 0);
    closeSync(between);
    expect(() => spareText(file)).toThrow(`${file}: what is kept there is spoilt`);
    const next = opened(file);
    expect(next.isInUse).toBe(true);
    next.keep("the third");
    expect(spareText(file)).toBe("the third");
  });

  it("that was made by half is made whole", () => {
    const file = fileIn(testFolder());
    writeFileSync(file, Buffer.alloc(100));
    expect(spareText(file)).toBeNull();
    opened(file).keep("kept");
    expect(spareText(file)).toBe("kept");
    expect(statSync(file).size).toBe(WHOLE_BYTES);
  });

  it("cut off behind its head is spoilt", () => {
    const file = fileIn(testFolder());
    opened(file).keep("kept");
    const cut = openSync(file, "r+");
    ftruncateSync(cut, 513);
    closeSync(cut);
    expect(() => spareText(file)).toThrow("spoilt");
  });

  it.runIf(process.getuid?.() === 0)("keeps a text on a disk without a free block", () => {
    const disk = join(testFolder(), "disk");
    mkdirSync(disk);
    execFileSync("mount", ["-t", "tmpfs", "-o", "size=1m", "emberwire-test", disk]);
    onTestFinished(() => {
      execFileSync("umount", ["--lazy", disk]);
    });
    const file = fileIn(disk);
    const spare = opened(file);
    const stuffing = openSync(join(disk, "stuffing"), "w");
    expect(() => {
      for (;;) writeSync(stuffing, Buffer.alloc(4096));
    }).toThrow("ENOSPC");
    closeSync(stuffing);
    spare.keep("a trip".repeat(1000));
    expect(spareText(file)).toBe("a trip".repeat(1000));
    expect(() => writeFileSync(join(disk, "another"), "x")).toThrow("ENOSPC");
  });
});
