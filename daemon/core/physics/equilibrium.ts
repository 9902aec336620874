// Where the box settles, what heat settles it at a wanted temperature, and how long a way there takes.
// Steady states and forward runs of the network; it knows no drive, band or limit's reason.

import {
  type AirDrive,
  advanceBox,
  airCelsiusAt,
  type BoxConstants,
  type BoxInputs,
  type BoxTemperatures,
  type Conductances,
  conductancesAt,
} from "./box.ts";

/** A steady state of the box. */
export type Equilibrium = BoxTemperatures & { readonly airCelsius: number; readonly conductances: Conductances };

/** Passes until conductances and temperatures agree; the map contracts by 0.1–0.4 a pass. */
const PASSES = 12;
const EQUILIBRIUM_PASSES = 60;
const SETTLED_KELVIN = 0.005;

/**
 * Steady wall and heat for a core held at `coreCelsius`: the closed form
 * Tw = (G·Tc + O·Tin + sun + W(C·Tin + U·Tc)/D)/(E − W²/D), D = C+U+W, E = G+W+O; heat = U(Tc − Ta) + G(Tc − Tw).
 * The wall is found by a few passes because G (and, fan off, U and C) depend on it.
 */
export function steadyLossWatts(
  box: BoxConstants,
  coreCelsius: number,
  inletCelsius: number,
  sunWatts: number,
  air: AirDrive,
): { readonly lossWatts: number; readonly wallCelsius: number; readonly airCelsius: number } {
  let wall = inletCelsius + 0.15 * (coreCelsius - inletCelsius);
  let g = conductancesAt(box, { coreCelsius, wallCelsius: wall }, inletCelsius, air);
  for (let pass = 0; pass < PASSES; pass++) {
    const next = steadyWall(box, g, coreCelsius, inletCelsius, sunWatts);
    const moved = Math.abs(next - wall);
    wall = next;
    g = conductancesAt(box, { coreCelsius, wallCelsius: wall }, inletCelsius, air);
    if (moved < SETTLED_KELVIN) break;
  }
  const airCelsius = airCelsiusAt(g, coreCelsius, wall, inletCelsius);
  return {
    lossWatts: g.coreToAir * (coreCelsius - airCelsius) + g.coreToWall * (coreCelsius - wall),
    wallCelsius: wall,
    airCelsius,
  };
}

function steadyWall(box: BoxConstants, g: Conductances, core: number, inlet: number, sunWatts: number): number {
  const { coreToAir: u, airToWall: w, airHeatFlow: c, coreToWall: r } = g;
  const o = box.wallToOutsideWattsPerKelvin;
  const d = c + u + w;
  return (r * core + o * inlet + sunWatts + (w * (c * inlet + u * core)) / d) / (r + w + o - (w * w) / d);
}

/**
 * Where the box settles under constant inputs: the two balances solved with the conductances held, and again with the conductances of
 * the answer until it stands still to `SETTLED_KELVIN`. Natural convection makes the conductances grow with the temperature, so each pass
 * overshoots the last by less.
 */
export function equilibrium(box: BoxConstants, inputs: BoxInputs, air: AirDrive): Equilibrium {
  const { inletCelsius: inlet, sunWatts, lossWatts } = inputs;
  const o = box.wallToOutsideWattsPerKelvin;
  let core = inlet + Math.max(lossWatts, 0);
  let wall = inlet + 0.15 * (core - inlet);
  let g = conductancesAt(box, { coreCelsius: core, wallCelsius: wall }, inlet, air);
  for (let pass = 0; pass < EQUILIBRIUM_PASSES; pass++) {
    const { coreToAir: u, airToWall: w, airHeatFlow: c, coreToWall: r } = g;
    const d = c + u + w;
    const across = (u * w) / d + r;
    const coreOut = u - (u * u) / d + r;
    const wallOut = w - (w * w) / d + r + o;
    const coreIn = lossWatts + (u * c * inlet) / d;
    const wallIn = sunWatts + (o + (w * c) / d) * inlet;
    const determinant = coreOut * wallOut - across * across;
    const nextCore = (coreIn * wallOut + wallIn * across) / determinant;
    const moved = Math.abs(nextCore - core);
    core = nextCore;
    wall = (wallIn * coreOut + coreIn * across) / determinant;
    g = conductancesAt(box, { coreCelsius: core, wallCelsius: wall }, inlet, air);
    if (moved < SETTLED_KELVIN) break;
  }
  return { coreCelsius: core, wallCelsius: wall, airCelsius: airCelsiusAt(g, core, wall, inlet), conductances: g };
}

/**
 * Seconds until `reached` says yes of the running temperatures, null when it never does within `horizonSeconds`.
 * Steps grow from 2 s to a minute; the crossing is found by halving the last step.
 */
export function secondsUntil(
  box: BoxConstants,
  from: BoxTemperatures,
  inputs: BoxInputs,
  air: AirDrive,
  horizonSeconds: number,
  reached: (temperatures: BoxTemperatures) => boolean,
): number | null {
  if (reached(from)) return 0;
  let at = from;
  let elapsed = 0;
  let step = 2;
  while (elapsed < horizonSeconds) {
    const next = advanceBox(box, at, inputs, air, step);
    if (reached(next)) return elapsed + crossing(box, at, inputs, air, step, reached);
    at = next;
    elapsed += step;
    step = Math.min(step * 1.5, 60);
  }
  return null;
}

function crossing(
  box: BoxConstants,
  from: BoxTemperatures,
  inputs: BoxInputs,
  air: AirDrive,
  step: number,
  reached: (temperatures: BoxTemperatures) => boolean,
): number {
  let early = 0;
  let late = step;
  while (late - early > 0.25) {
    const middle = (early + late) / 2;
    if (reached(advanceBox(box, from, inputs, air, middle))) late = middle;
    else early = middle;
  }
  return late;
}
