// The guided proof test from a shell, against the real daemon on the simulated feedpoint: passed, abandoned, and nobody there.

import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { testFolder } from "../support/folder.ts";
import { freePort } from "../support/free-port.ts";
import { type Finished, runProgram, runProgramTyping, startDaemon } from "../support/told-program.ts";

/** The simulated operator keys now and then, and a daemon permits nothing in its first second; refused, rightly, it is asked for again. */
const MOST_TRIES = 40;
const LATER = /the transmitter is keyed|the power stage is inhibited/;

async function untilBegun(typed: string, listen: string): Promise<Finished> {
  for (let tries = 1; ; tries += 1) {
    const told = await runProgramTyping(typed, "proof-test", "--listen", listen);
    if (tries === MOST_TRIES || !LATER.test(told.complaints.join())) return told;
  }
}

describe("proof-test", () => {
  it("is passed with two yeses, abandoned by a no, and both are in the record", async () => {
    const folder = testFolder();
    const daemon = await startDaemon("--data", folder, "--listen", "127.0.0.1:0", "--speed", "20");
    const listen = new URL(daemon.address).host;
    const passed = await untilBegun("yes\ny\n", listen);
    expect(passed).toMatchObject({ status: 0, complaints: [] });
    expect(passed.out).toContain("The proof test is passed");
    const abandoned = await untilBegun("no\n", listen);
    expect(abandoned.status).toBe(1);
    expect(abandoned.complaints.join()).toContain("the proof test was abandoned");
    await daemon.stop();
    const database = new Database(`${folder}/simulated.db`, { readonly: true });
    const texts = database
      .prepare<[], { text: string }>("SELECT text FROM entry WHERE kind = 'proof test' ORDER BY id")
      .all()
      .map(({ text }) => text)
      .join("\n");
    database.close();
    expect(texts).toMatch(/passed; read back before: .*; after: /);
    expect(texts).toContain("abandoned");
  });

  it("says what to do when no daemon answers", async () => {
    const told = await runProgram("proof-test", "--listen", `127.0.0.1:${await freePort()}`);
    expect(told.status).toBe(1);
    expect(told.complaints).toHaveLength(1);
    expect(told.complaints[0]).toContain("no daemon answers at");
  });
});
