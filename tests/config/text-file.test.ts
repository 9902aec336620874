// What an operator reads when a file that they named cannot be read: always the same words, for a flag as for a key.

import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { RequestError } from "../../daemon/config/problem.ts";
import { fileTrouble, readTextFile } from "../../daemon/config/text-file.ts";
import { testFolder } from "../support/folder.ts";

const ASKED = { what: "--plan", where: "command line", mostBytes: 10 };

function told(file: string, asked: Parameters<typeof readTextFile>[1] = ASKED): string {
  try {
    return readTextFile(file, asked);
  } catch (error) {
    if (error instanceof RequestError) return error.message;
    throw error;
  }
}

describe("readTextFile", () => {
  it("gives the text of a file that is not larger than it may be", () => {
    const file = join(testFolder(), "small.txt");
    writeFileSync(file, "0123456789");
    expect(told(file)).toBe("0123456789");
  });

  it("says what is in the way: nothing there, a folder, too large", () => {
    const folder = testFolder();
    mkdirSync(join(folder, "inside"));
    writeFileSync(join(folder, "large.txt"), "0123456789a");
    expect(told(join(folder, "none"))).toBe(
      `command line: --plan: expected a file that can be read, got ${folder}/none (there is none)`,
    );
    expect(told(join(folder, "large.txt"))).toBe(
      `command line: --plan: expected a file of at most 10 bytes, got ${folder}/large.txt with 11 bytes`,
    );
    const roomy = { ...ASKED, mostBytes: 1_000_000 };
    expect(told(join(folder, "inside"), roomy)).toContain(`got ${folder}/inside (it is a folder)`);
  });

  it("says what was expected in the asker's own words", () => {
    expect(told("/none", { ...ASKED, expected: "a secret" })).toContain("expected a secret, got /none (there is none)");
  });

  it("shows a code it has no words for as it is", () => {
    expect(fileTrouble("x", Object.assign(new Error("odd"), { code: "EODD" }))).toBe("x (EODD)");
  });
});
