// The shack's rig over a rig-control server, how its meter tells of the feedpoint, and whether its power may be lowered. Shapes and
// defaults only.

import * as z from "zod";
import { quantity, text, whole } from "./fields.ts";

const factor = quantity("count", { low: 0.01, high: 1000 });

export const rig = z.strictObject({
  host: text(200).default("127.0.0.1"),
  port: whole(1, 65_535).default(4532),
  /** Of the rig itself: for one whose meter shows only a share of it. */
  full_power: quantity("power", { low: 0.1, high: 3000 }).optional(),
  /** Measured: watts at the feedpoint per watt on the rig's meter. Without it the meter is not used for the drive. */
  factor: factor.optional(),
  /** The same for single bands, by their names such as "80 m". */
  factors: z.record(z.string(), factor).default({}),
  /** The rig's own power setting while the stage is below full; without it the rig is never touched. */
  reduce_to: quantity("ratio", { low: 0, high: 1 }).optional(),
});
