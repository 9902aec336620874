// The mixes that come with the program. An operator's own table is a Mix as well and never enters this list.
import type { Mix } from "./mix.ts";
import { MIX_31 } from "./mix-31.ts";
import { MIX_43 } from "./mix-43.ts";
import { MIX_52 } from "./mix-52.ts";
import { MIX_61 } from "./mix-61.ts";

/** Mixes with published figures, in the order of their names. */
export const PUBLISHED_MIXES: readonly Mix[] = [MIX_31, MIX_43, MIX_52, MIX_61];

/** The published mix called `name` ("43"), or undefined. */
export function publishedMix(name: string): Mix | undefined {
  return PUBLISHED_MIXES.find((mix) => mix.name === name);
}
