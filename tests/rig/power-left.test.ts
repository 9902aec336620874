// The rig's own power when the operator turns the knob while it is lowered: from then on it is theirs.

import { expect, it } from "vitest";
import { frameOf, lowered, POWER_SPEED, tagsOf, until } from "./shack.ts";

it("the rig's power is left where the operator turned it meanwhile", async () => {
  const { rigctld, daemon } = await lowered();
  await rigctld.operate({ power: 0.35 });
  await until(async () => expect(await tagsOf(daemon)).toContain("rig_power_left"));
  await until(async () => expect((await frameOf(daemon)).power_stage).toBe("full"));
  const { at_seconds } = await frameOf(daemon);
  // Longer than any stage has to stand before the rig is touched.
  await until(async () => expect((await frameOf(daemon)).at_seconds).toBeGreaterThan(at_seconds + 8 * POWER_SPEED));
  expect(await rigctld.power()).toBe(0.35);
  expect(await tagsOf(daemon)).not.toContain("rig_power_restored");
});
