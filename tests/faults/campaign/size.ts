// How much of the campaign runs: a short one with all the other tests, the long one by its own command. Printed counts tell which.

const { EMBERWIRE_FAULTS: size, EMBERWIRE_SEED: seed } = process.env;

/** True for `npm run test:faults`. */
export const LONG = size === "long";

/** The seed of everything drawn in the campaign; another one may be asked for by the environment. */
export const SEED = Number(seed ?? "1");

/** One figure for the short campaign, another for the long one. */
export function sized(short: number, long: number): number {
  return LONG ? long : short;
}
