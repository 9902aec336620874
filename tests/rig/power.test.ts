// The rig's own power, lowered and put back on real processes. The simulated transmitter sends what the dummy rig says, so a carrier
// there heats the simulated core, and lowering that rig's power cools it.

import { existsSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { lowered, tagsOf, until } from "./shack.ts";

describe("the rig's own power", () => {
  it("is lowered after the permit line, and put back when the stage is full again", async () => {
    const { rigctld, daemon, folder } = await lowered();
    await until(async () => expect(await rigctld.power()).toBe(0.8));
    await until(async () => {
      const tags = await tagsOf(daemon);
      const ours = tags.filter((tag) => ["reduced", "full", "rig_power_lowered", "rig_power_restored"].includes(tag));
      expect(ours.slice(-4)).toEqual(["reduced", "rig_power_lowered", "full", "rig_power_restored"]);
    });
    await until(async () => expect(existsSync(join(folder, "rig-power.json"))).toBe(false));
  });
});
