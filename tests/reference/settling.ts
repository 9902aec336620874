// Does a warm core find a temperature at which heat in equals heat out, or does it run away?
// It knows neither box nor mix: both come in as functions of the core's temperature.
import { within } from "../../daemon/core/physics/physics-error.ts";

/** Where the core settles, or that it does not below the highest temperature looked at. */
export type Settling =
  | {
      readonly kind: "settles";
      readonly celsius: number;
      /** The next temperature above at which heat in overtakes heat out again: pushed beyond it, the core runs away. */
      readonly pointOfNoReturnCelsius: number | null;
    }
  | { readonly kind: "runs away" };

const SCAN_STEPS = 200;
const BISECTIONS = 40;

/**
 * First stable crossing of `heatWatts` (in) and `rejectedWatts` (out) going up from `fromCelsius`, where out is
 * expected to be the smaller, to `toCelsius` (the mix's Curie point). Both functions must be continuous. A core that
 * already rejects more than it makes at `fromCelsius` settles there. Cost: about 280 calls of each.
 */
export function settlingPoint(
  heatWatts: (celsius: number) => number,
  rejectedWatts: (celsius: number) => number,
  fromCelsius: number,
  toCelsius: number,
): Settling {
  within("highest temperature in Celsius", toCelsius, fromCelsius + 1e-3, 5000);
  const excess = (celsius: number): number => heatWatts(celsius) - rejectedWatts(celsius);
  const step = (toCelsius - fromCelsius) / SCAN_STEPS;
  let stable: number | null = excess(fromCelsius) <= 0 ? fromCelsius : null;
  let previous = fromCelsius;
  for (let index = 1; index <= SCAN_STEPS; index += 1) {
    const celsius = index === SCAN_STEPS ? toCelsius : fromCelsius + index * step;
    const gaining = excess(celsius) > 0;
    if (stable === null && !gaining) stable = crossing(excess, previous, celsius);
    else if (stable !== null && gaining) {
      return {
        kind: "settles",
        celsius: stable,
        pointOfNoReturnCelsius: crossing((at) => -excess(at), previous, celsius),
      };
    }
    previous = celsius;
  }
  return stable === null ? { kind: "runs away" } : { kind: "settles", celsius: stable, pointOfNoReturnCelsius: null };
}

/** Bisection between a point where `excess` is positive and one where it is not. */
function crossing(excess: (celsius: number) => number, positive: number, negative: number): number {
  let low = positive;
  let high = negative;
  for (let index = 0; index < BISECTIONS; index += 1) {
    const middle = (low + high) / 2;
    if (excess(middle) > 0) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
