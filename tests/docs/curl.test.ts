// The README's curl lines, run as they stand there against a running daemon, by the shell and the curl of this machine.

import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { readFileSync } from "node:fs";
import { afterAll, beforeAll, expect, it, vi } from "vitest";
import { type ScriptedFeedpoint, scratchFolder, startScripted } from "../browser/feedpoint.ts";

const LINES = readFileSync("README.md", "utf8").match(/^curl .*127\.0\.0\.1:8373.*$/gm) ?? [];

/** What each address has to say; one that is not listed here is a line that nobody looked at. */
const SAYS: Readonly<Record<string, RegExp>> = {
  "state.csv": /^feedpoint,simulated,.*\r\nOrchard gate,true,/,
  "state?fields": /^\{"core_upper_celsius":[\d.]+,"headroom_seconds":(null|[\d.]+),"power_stage":"\w+"\}$/,
  history: /^\{"from_seconds":/,
  events: /^event: snapshot\n[\s\S]*^event: snapshot\n/m,
  metrics: /^core_upper_celsius [\d.]+\n[\s\S]*# EOF\n$/m,
  commands: /"accepted":true/,
};

const folder = await scratchFolder();
let feedpoint: ScriptedFeedpoint;

beforeAll(async () => {
  feedpoint = await startScripted(folder.path, 1);
});

afterAll(async () => {
  await feedpoint?.stop();
  await folder.remove();
});

async function ended(child: ChildProcess): Promise<number | null> {
  if (child.exitCode === null && child.signalCode === null) await once(child, "exit");
  return child.exitCode;
}

it("the README has them", () => {
  expect(LINES.length).toBeGreaterThanOrEqual(Object.keys(SAYS).length);
});

it.each(LINES)("%s", async (line) => {
  const name = Object.keys(SAYS).find((address) => line.includes(`/${address}`)) ?? expect.unreachable(line);
  const command = line.replace("http://127.0.0.1:8373/", feedpoint.address);
  await vi.waitFor(
    async () => {
      const child = spawn("sh", ["-c", `exec ${command}`], { stdio: ["ignore", "pipe", "inherit"] });
      const deadline = AbortSignal.timeout(15_000);
      deadline.addEventListener("abort", () => child.kill());
      let said = "";
      for await (const chunk of child.stdout) {
        said += String(chunk);
        // Events do not end by themselves.
        if (name === "events" && SAYS[name]?.test(said) === true) child.kill();
      }
      const status = await ended(child);
      if (name !== "events") expect({ line, status }).toEqual({ line, status: 0 });
      expect(said).toMatch(SAYS[name] ?? /^$/);
    },
    { timeout: 25_000, interval: 200 },
  );
});
