// The real daemon, several of them at once, each in a trouble of its own: disks that refuse, SIGKILL, SIGSTOP, and a hostile crowd.

import { expect, it } from "vitest";
import { crowd } from "./campaign/crowd.ts";
import { disks } from "./campaign/disks.ts";
import { kills, stops } from "./campaign/signals.ts";

it("survives full and read-only disks, being killed and stopped, and clients that mean harm", async () => {
  const tallies = await Promise.all([disks(), kills(), stops(), crowd()]);
  for (const tally of tallies) tally.print();
  expect(tallies.flatMap(({ wrongs }) => wrongs)).toEqual([]);
  for (const { injected } of tallies) expect(injected).toBeGreaterThan(0);
}, 240_000);
