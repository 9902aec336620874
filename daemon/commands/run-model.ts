// Which model the daemon runs on: the flag's file, the config's, the one accepted on the page, the simulated feedpoint's own, or
// geometry and tables, in this order. It reads; who wrote an accepted model is the heat run's business.

import { existsSync } from "node:fs";
import { modelOf } from "../config/model.ts";
import { parseModel, readModelFile } from "../config/model-file.ts";
import type { ReadConfig } from "../config/parse.ts";
import type { Model } from "../core/estimate/model.ts";
import { DEMO_NAME } from "../demo.ts";
import { DEMO_MODEL } from "../demo-model.ts";
import { acceptedModelFile, dataFolder } from "../folder.ts";
import { modelFrom } from "./flags.ts";

/** What `run` was told. */
export type RunModelFlags = { readonly config?: string; readonly model?: string; readonly data?: string };

/** @throws RequestError for a file that is no model of this transformer */
export function runModel(read: ReadConfig, flags: RunModelFlags, simulated: boolean): Model {
  if (flags.model !== undefined || read.config.model.file !== undefined) return modelFrom(read, flags.model);
  const prior = modelOf(read);
  const accepted = acceptedModelFile(dataFolder(flags.data ?? read.config.log.folder), simulated);
  if (existsSync(accepted)) return readModelFile(accepted, "accepted model", accepted, prior);
  return flags.config === undefined ? parseModel(DEMO_MODEL, DEMO_NAME, prior) : prior;
}
