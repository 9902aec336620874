// How long to wait before trying the feedpoint again: doubling, bounded, and spread so that sixty pages do not knock at
// the same instant. Pure; the chance comes in as an argument.

const FIRST_SECONDS = 0.5;
const LONGEST_SECONDS = 8;

/** Seconds before try number `attempt` (0 = first); `chance` 0–1 spreads it over the upper half of the step. */
export function backoffSeconds(attempt: number, chance: number): number {
  const step = Math.min(LONGEST_SECONDS, FIRST_SECONDS * 2 ** Math.min(attempt, 16));
  return step / 2 + (step / 2) * chance;
}
