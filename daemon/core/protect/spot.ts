// Core readings taken by a person, some seconds old when they are entered: carried forward to now along the estimate's own change.
// A short trail of past estimates, one in ten seconds; it knows no filter.

/** Oldest first. */
export type Trail = readonly { readonly atSeconds: number; readonly coreCelsius: number }[];

const EVERY_SECONDS = 10;
/** Older readings than this say too little about now. */
export const OLDEST_SPOT_SECONDS = 120;
const LONGEST = OLDEST_SPOT_SECONDS / EVERY_SECONDS + 2;

/** The trail with this cycle's estimate; the same object between two points. */
export function extendTrail(trail: Trail, coreCelsius: number, nowSeconds: number): Trail {
  const last = trail.at(-1);
  if (last !== undefined && nowSeconds - last.atSeconds < EVERY_SECONDS) return trail;
  return [...trail, { atSeconds: nowSeconds, coreCelsius }].slice(-LONGEST);
}

/** The trail after a core reading moved the estimate by `kelvin`: that was no change of the core. */
export function shiftTrail(trail: Trail, kelvin: number): Trail {
  return trail.map(({ atSeconds, coreCelsius }) => ({ atSeconds, coreCelsius: coreCelsius + kelvin }));
}

/** What the estimate was then, between the two points around it; null when the trail does not reach back so far. */
function recall(trail: Trail, atSeconds: number): number | null {
  for (let index = trail.length - 1; index >= 0; index -= 1) {
    const point = trail[index];
    if (point === undefined || point.atSeconds > atSeconds) continue;
    const after = trail[index + 1];
    if (after === undefined) return point.coreCelsius;
    const share = (atSeconds - point.atSeconds) / (after.atSeconds - point.atSeconds);
    return point.coreCelsius + share * (after.coreCelsius - point.coreCelsius);
  }
  return null;
}

/**
 * `celsius` read `secondsAgo`, as it would read now; null when too old to carry forward.
 * `coreCelsius`: the estimate as it is now.
 */
export function carryForward(
  trail: Trail,
  coreCelsius: number,
  celsius: number,
  secondsAgo: number,
  nowSeconds: number,
): number | null {
  if (secondsAgo > OLDEST_SPOT_SECONDS) return null;
  const then = recall([...trail, { atSeconds: nowSeconds, coreCelsius }], nowSeconds - secondsAgo);
  return then === null ? null : celsius + coreCelsius - then;
}
