// Files in and out: whole or not at all, never over what was read, and never in the place of a device or a folder.

import { lstatSync, mkdirSync, readdirSync, readFileSync, statSync, symlinkSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { RequestError } from "../../daemon/config/problem.ts";
import { inBatches, readChunks, refuseSameFile, writeWhole } from "../../daemon/recording/files.ts";
import { testFolder } from "../support/folder.ts";

const textOf = (file: string) => [...readChunks(file, "recording")].join("");

describe("reading", () => {
  it("keeps characters whole that lie across two chunks", () => {
    const file = join(testFolder(), "a.csv");
    const text = `x${"°".repeat(200_000)}`;
    writeFileSync(file, text);
    expect(textOf(file)).toBe(text);
  });

  it.each([
    ["a file that is not there", "none.csv", "there is none"],
    ["a folder", ".", "it is a folder"],
  ])("refuses %s in words", (_, name, said) => {
    const file = join(testFolder(), name);
    expect(() => textOf(file)).toThrow(
      `command line: recording: expected a file that can be read, got ${file} (${said})`,
    );
  });
});

describe("writing", () => {
  it("leaves the older file and nothing beside it when the lines end in an error", () => {
    const folder = testFolder();
    const file = join(folder, "out.csv");
    writeFileSync(file, "older\n");
    const lines = function* (): Generator<string> {
      yield "newer\n";
      throw new RequestError([{ what: "row", where: "in.csv:2", expected: "sense", got: "none" }]);
    };
    expect(() => writeWhole(file, "--out", lines())).toThrow("in.csv:2: row");
    expect(readFileSync(file, "utf8")).toBe("older\n");
    expect(readdirSync(folder)).toEqual(["out.csv"]);
  });

  it("follows a link to the file behind it", () => {
    const folder = testFolder();
    const [file, link] = [join(folder, "out.csv"), join(folder, "latest.csv")];
    writeFileSync(file, "older\n");
    symlinkSync(file, link);
    writeWhole(link, "--out", ["newer\n"]);
    expect(readFileSync(file, "utf8")).toBe("newer\n");
    expect(lstatSync(link).isSymbolicLink()).toBe(true);
  });

  it("writes into a device and does not take its place", () => {
    writeWhole("/dev/null", "--out", ["away\n"]);
    expect(statSync("/dev/null").isCharacterDevice()).toBe(true);
  });

  it("refuses a folder before any line is made", () => {
    const folder = join(testFolder(), "out");
    mkdirSync(folder);
    let asked = 0;
    const lines = function* (): Generator<string> {
      asked += 1;
      yield "line\n";
    };
    expect(() => writeWhole(folder, "--out", lines())).toThrow(
      `command line: --out: expected a file that can be written, got ${folder} (it is a folder)`,
    );
    expect(asked).toBe(0);
  });
});

describe("one file under two names", () => {
  it("is refused by another spelling and by a link, and nothing else is", () => {
    const folder = testFolder();
    const [file, link] = [join(folder, "in.csv"), join(folder, "link.csv")];
    writeFileSync(file, "measured\n");
    symlinkSync(file, link);
    const expected = "--out: expected another file than the one that is read";
    expect(() => refuseSameFile(file, `${folder}/./in.csv`, "--out")).toThrow(expected);
    expect(() => refuseSameFile(file, link, "--out")).toThrow(expected);
    refuseSameFile(file, join(folder, "out.csv"), "--out");
    refuseSameFile("-", file, "--out");
    refuseSameFile("/dev/null", "/dev/null", "--out");
  });
});

describe("batches", () => {
  it("give every item once and in order", () => {
    const items = Array.from({ length: 10 }, (_, index) => index);
    expect([...inBatches(items, 4)]).toEqual(items);
  });
});
