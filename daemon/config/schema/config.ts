// The whole config as one schema: every table, with a name for each. It checks shapes; what they amount to is built elsewhere.

import * as z from "zod";
import { CONFIG_VERSION } from "../version.ts";
import { mqtt, overview } from "./broker.ts";
import { fan, feedpoint, model, station, transformer } from "./feedpoint.ts";
import { whole } from "./fields.ts";
import { notices } from "./notices.ts";
import { listen, log } from "./outputs.ts";
import { alarms, limits } from "./protection.ts";
import { rig } from "./rig.ts";
import { buzzer, drive, fanCut, gpio, ptt, relay, sensor, supply, tach } from "./wiring.ts";

/** The wiring that is assumed where no table says otherwise: two TMP117 on the first bus, the tach on line 17, no relay. */
const USUAL_SENSORS: z.input<typeof sensor>[] = [
  { name: "inlet", role: "inlet", chip: "tmp117", address: 0x48 },
  { name: "outlet", role: "outlet", chip: "tmp117", address: 0x49 },
];

export const configSchema = z.strictObject({
  /** Of the file's form (version.ts); without it the first. */
  version: whole(1, CONFIG_VERSION).default(1),
  feedpoint,
  transformer,
  model,
  fan,
  limits,
  alarms,
  sensor: z
    .array(sensor)
    .min(1, { error: "at least one [[sensor]]" })
    .max(32, { error: "at most 32 sensors" })
    .prefault(USUAL_SENSORS),
  gpio,
  tach: tach.prefault({ line: 17 }),
  relay: relay.optional(),
  buzzer: buzzer.optional(),
  fan_cut: fanCut.optional(),
  supply: supply.optional(),
  drive: drive.optional(),
  ptt: ptt.optional(),
  rig: rig.optional(),
  station,
  listen,
  log,
  notices: notices.optional(),
  mqtt: mqtt.optional(),
  overview: overview.optional(),
});

/** The same file for `run --overview`: no feedpoint need stand in it. */
export const overviewConfigSchema = configSchema.extend({ transformer: transformer.optional(), overview });
export type OverviewTable = z.output<typeof overview>;

/** Everything an operator may set, in SI, with defaults filled in. */
export type Config = z.output<typeof configSchema>;

/** JSON Schema of what may be written, for editors and for `run --print-config-schema`. */
export function configJsonSchema(): object {
  return z.toJSONSchema(configSchema, { io: "input" });
}
