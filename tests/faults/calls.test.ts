// Fail the n-th call into the board, for every n of a whole scenario: opening, reading, driving the lines, reading them back.
// Calls that fail are spaced so far apart that each is on its own; the errors are those of Linux for I2C, GPIO and files.

import { afterAll, describe, expect, it } from "vitest";
import { Invariants } from "./campaign/invariants.ts";
import { plainScene } from "./campaign/scenes.ts";
import { LONG, sized } from "./campaign/size.ts";
import { Tally } from "./campaign/tally.ts";
import { Trial } from "./campaign/trial.ts";

const ERRNOS = [
  "EREMOTEIO",
  "ENXIO",
  "ETIMEDOUT",
  "EIO",
  "EBUSY",
  "EBADMSG",
  "EAGAIN",
  "ENOENT",
  "ENODEV",
  "EINVAL",
  "EACCES",
] as const;
const SCENARIO_SECONDS = sized(18, 30);
/** Cycles between two failing calls: longer than any grace of the protection. */
const APART_CYCLES = 8;
/** Within retries, and beyond them. */
const COUNTS = [1, 4] as const;

const tally = new Tally("the n-th call fails");
afterAll(() => tally.print());

type Plan = { readonly first: number; readonly stride: number; readonly count: number; readonly errno: string };

async function scenario({ first, stride, count, errno }: Plan, calls: number): Promise<void> {
  const faults = [];
  for (let at = first; at <= calls; at += stride) {
    faults.push({ kind: "calls fail", first: at, count, errno, startSeconds: 0, endSeconds: null } as const);
  }
  const trial = await Trial.open({ scenario: plainScene(), seed: 1, faults });
  const label = `${count} calls from ${first} on, every ${stride}, ${errno}`;
  if (!trial.fit) {
    const { reduce, inhibit } = trial.contacts();
    tally.count(label, 1, reduce || inhibit ? ["refused to run with a line energised"] : []);
    await trial.close();
    return;
  }
  const invariants = new Invariants(trial);
  await trial.run(SCENARIO_SECONDS, invariants.look);
  const { wrongs, cycles } = invariants;
  const outlook = trial.newest?.outlook;
  await trial.close();
  const { reduce, inhibit } = trial.contacts();
  if (reduce || inhibit) wrongs.push("a line stayed energised after the end");
  if (outlook === undefined) wrongs.push("not a single cycle was completed");
  tally.count(label, faults.length, wrongs, cycles);
}

describe("the n-th call into the board fails", async () => {
  const calm = await Trial.open({ scenario: plainScene(), seed: 1 });
  const invariants = new Invariants(calm);
  await calm.run(SCENARIO_SECONDS, invariants.look);
  const stage = calm.newest?.outlook.stage;
  await calm.close();
  const calls = calm.board.calls();
  const stride = Math.round((APART_CYCLES * (calls - calm.openingCalls)) / SCENARIO_SECONDS);

  it("nothing fails without a fault, and the scenario is one at full power", () => {
    expect(invariants.wrongs).toEqual([]);
    expect(stage).toBe("full");
    expect(stride).toBeGreaterThan(50);
  });

  it("for every n while it opens, with every error", async () => {
    for (let first = 1; first <= calm.openingCalls; first += LONG ? 1 : 3) {
      for (const [index, errno] of ERRNOS.entries()) {
        if (!LONG && (first + index) % ERRNOS.length !== 0) continue;
        for (const count of COUNTS) await scenario({ first, stride: calls, count, errno }, first);
      }
    }
    expect(tally.wrongs).toEqual([]);
  }, 120_000);

  it("for every n while it runs, with every error", async () => {
    for (let offset = 1; offset <= stride; offset += 1) {
      for (const [index, errno] of ERRNOS.entries()) {
        // The short campaign takes one error for each n, in turn.
        if (!LONG && offset % ERRNOS.length !== index) continue;
        for (const count of LONG ? COUNTS : [COUNTS[offset % 2]!]) {
          await scenario({ first: calm.openingCalls + offset, stride, count, errno }, calls);
        }
      }
    }
    expect(tally.wrongs).toEqual([]);
    expect(tally.injected).toBeGreaterThanOrEqual(calls - calm.openingCalls);
  }, 240_000);
});
