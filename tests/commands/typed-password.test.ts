// `set-password` on a terminal: nothing of what is typed is seen, it is asked twice, and giving up changes nothing.

import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { fitsPassword } from "../../daemon/access/password.ts";
import { EMPTY_REGISTER, readRegister, writeRegister } from "../../daemon/access/register.ts";
import { cheapSeal } from "../support/cheap-seal.ts";
import { testFolder } from "../support/folder.ts";
import { runOnTerminal } from "../support/pseudo-terminal.ts";

const PASSWORD = "four wires in the orchard";
const ENTER = "\r";
const [FIRST, SECOND] = [/New operator password: /, /The same again: /];

const fileIn = (folder: string): string => join(folder, "access.json");
const start = (folder: string, ...words: string[]) => runOnTerminal("set-password", "--data", folder, ...words);

/** An older password stands in `folder`; returns the file's text. */
function olderIn(folder: string): string {
  writeRegister(fileIn(folder), { ...EMPTY_REGISTER, operator: cheapSeal("an older password") });
  return readFileSync(fileIn(folder), "utf8");
}

describe("a password that is typed", () => {
  it("is never on the screen, nor among arguments or environment, and is kept sealed only", async () => {
    const folder = testFolder();
    const run = start(folder);
    // A slip of the finger, taken back.
    await run.answer(FIRST, `${PASSWORD}x\u007f${ENTER}`);
    await run.shown(SECOND);
    expect(run.processes()).toContain("set-password");
    expect(run.processes()).not.toContain("orchard");
    await run.answer(SECOND, PASSWORD + ENTER);
    const { screen, status, echoes } = await run.end();
    expect({ status, echoes }).toEqual({ status: 0, echoes: true });
    expect(screen).toContain("The operator password is set");
    expect(screen).not.toMatch(/four|wires|orchard/);
    expect(readFileSync(fileIn(folder), "utf8")).not.toMatch(/four|wires|orchard/);
    const { operator } = readRegister(fileIn(folder));
    expect(await fitsPassword(PASSWORD, operator ?? "")).toBe(true);
  });

  it("is not seen either by who types both lines ahead of the second question", async () => {
    const folder = testFolder();
    const run = start(folder);
    await run.answer(FIRST, PASSWORD + ENTER + PASSWORD + ENTER);
    const { screen, status } = await run.end();
    expect(status).toBe(0);
    expect(screen).not.toContain("orchard");
  });

  it("has to be the same twice", async () => {
    const folder = testFolder();
    const run = start(folder);
    await run.answer(FIRST, PASSWORD + ENTER);
    await run.answer(SECOND, `${PASSWORD}!${ENTER}`);
    const { screen, status, echoes } = await run.end();
    expect({ status, echoes }).toEqual({ status: 2, echoes: true });
    expect(screen).toContain("expected the same twice, got two different ones");
    expect(screen).not.toContain("orchard");
    expect(existsSync(fileIn(folder))).toBe(false);
  });

  it("is refused when a key has put something into it that nobody sees, and the old one stays", async () => {
    const folder = testFolder();
    const before = olderIn(folder);
    const run = start(folder);
    const typed = `with an arrow \u001b[D in it${ENTER}`;
    await run.answer(FIRST, typed + typed);
    const { status, screen } = await run.end();
    expect(status).toBe(2);
    expect(screen).toContain("got one with a control character");
    expect(readFileSync(fileIn(folder), "utf8")).toBe(before);
  });
});

describe("giving up", () => {
  it.each([
    ["Ctrl-C within the first answer", "four wir\u0003", false],
    ["Ctrl-D", "\u0004", false],
    ["Ctrl-C at the second question", "\u0003", true],
  ])("%s leaves everything as it was, the terminal too", async (_what, keys, second) => {
    const folder = testFolder();
    const before = olderIn(folder);
    const run = start(folder);
    if (second) await run.answer(FIRST, PASSWORD + ENTER);
    await run.answer(second ? SECOND : FIRST, keys);
    const { screen, status, echoes } = await run.end();
    expect({ status, echoes }).toEqual({ status: 1, echoes: true });
    expect(screen).toContain("given up: nothing was changed");
    expect(screen).not.toMatch(/four|orchard/);
    expect(readFileSync(fileIn(folder), "utf8")).toBe(before);
  });
});
