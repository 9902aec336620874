// The rig's own power when the daemon that lowered it is killed: the next one finds out and puts it back.

import { existsSync } from "node:fs";
import { join } from "node:path";
import { expect, it } from "vitest";
import { lowered, POWER_SPEED, started, until } from "./shack.ts";

it("the rig's power is put back by the next daemon when this one was killed", async () => {
  const { rigctld, daemon, folder, config } = await lowered();
  expect(existsSync(join(folder, "rig-power.json"))).toBe(true);
  await daemon.stop("SIGKILL");
  expect(await rigctld.power()).toBe(0.2);
  await started(folder, config, POWER_SPEED);
  await until(async () => expect(await rigctld.power()).toBe(0.8));
});
