// What a rating stands on, as data: model, transformer and limits. The command and the page compute from the same; it computes nothing.

import type { Model } from "../core/estimate/model.ts";
import type { Winding } from "../core/physics/copper.ts";
import type { RatingBasis } from "../core/physics/rating.ts";
import { coreOf } from "./model.ts";
import type { ReadConfig } from "./parse.ts";

/** The basis of `read` with `model`. */
export function ratingBasisOf(
  read: ReadConfig,
  model: Model,
  limits: { readonly limitCelsius: number; readonly outletReduceCelsius: number },
): RatingBasis {
  return {
    model,
    core: coreOf(read),
    winding: windingOf(read.config.transformer),
    limitCelsius: limits.limitCelsius,
    outletCelsius: limits.outletReduceCelsius,
  };
}

function windingOf(transformer: {
  readonly primary_turns: number;
  readonly secondary_turns?: number | undefined;
  readonly wire_diameter?: number | undefined;
}): Winding | null {
  const { primary_turns, secondary_turns, wire_diameter } = transformer;
  if (wire_diameter === undefined) return null;
  // The wire's own rating asks for the primary only; without a secondary in the config its turns do not matter.
  const secondaryTurns = secondary_turns ?? primary_turns;
  return { primaryTurns: primary_turns, secondaryTurns, wireDiameterMeters: wire_diameter, leadMeters: 0 };
}
