// The coldest that the core can be by what else is known: drive, fan and the air that leaves the box. A core reading below it comes
// from a probe that has fallen off, or from a thermometer that looked elsewhere. It takes no part in the estimate.

import type { Model } from "../estimate/model.ts";
import type { Readings } from "../readings.ts";
import { type ForwardRun, SETTLING_SECONDS } from "./forward-run.ts";
import { balanced } from "./witness.ts";

/** What a probe's lag in a fast key-down and the network's own roughness may make of a true reading, K. */
const MARGIN_KELVIN = 20;
/** Clogged vents make the heat balance alone read high: it then speaks for this share of the rise. */
const BALANCE_SHARE = 0.5;
/** The sun on the box and a sensor's lag may make the air so much warmer than a core that heats nothing, K. */
export const COLDER_THAN_AIR_KELVIN = 10;

/**
 * °C; null when nothing else speaks of the core. Where both do, the lower of balance and run counts: neither vents nor a wrong drive
 * alone may silence a probe. The uncertainty of the rise counts twice, as in the bound.
 */
export function coldestCore(
  model: Model,
  readings: Readings,
  turning: boolean | null,
  run: ForwardRun | null,
  nowSeconds: number,
): number | null {
  const inlet = readings.inlet?.value ?? run?.inletCelsius ?? null;
  if (inlet === null) return null;
  const balance = balanced(model, readings, turning);
  const settled = run !== null && nowSeconds - run.sinceSeconds >= SETTLING_SECONDS;
  let rise: number;
  if (run !== null && balance !== null) rise = Math.min(run.coreCelsius, balance) - inlet;
  else if (run !== null && settled) rise = run.coreCelsius - inlet;
  else if (balance !== null) rise = BALANCE_SHARE * (balance - inlet);
  else return null;
  const { fanOn, fanOff } = model.riseUncertaintyRatio;
  const sure = Math.max(1 - 2 * (turning === false ? fanOff : fanOn), 0);
  return inlet + sure * rise - MARGIN_KELVIN;
}

/** True when even the bound lies below all the air there is around the core: then inlet and outlet are not what they are taken for. */
export function isColderThanAir({ inlet, outlet }: Readings, coreUpperCelsius: number): boolean {
  const air = [inlet, outlet].flatMap((reading) => reading?.value ?? []);
  return air.length > 0 && coreUpperCelsius < Math.min(...air) - COLDER_THAN_AIR_KELVIN;
}
