// The box of two observations of the trade (common practice, no source), with every figure nobody measured drawn from an honest range.
// Draws and judges; prints nothing. What it concludes is about these ranges, not about any one box.

import { air } from "../../daemon/core/physics/air.ts";
import { CUBIC_FOOT_PER_MINUTE, streamWattsPerKelvin } from "../../daemon/core/physics/airflow.ts";
import type { BoxConstants } from "../../daemon/core/physics/box.ts";
import { ZERO_CELSIUS_KELVIN } from "../../daemon/core/physics/constants.ts";
import { nusseltHorizontalCylinder, radiationCoefficient, rayleigh } from "../../daemon/core/physics/convection.ts";
import { steadyLossWatts } from "../../daemon/core/physics/equilibrium.ts";
import { type Core, coreLoss } from "../../daemon/core/physics/ferrite.ts";
import { MIX_43 } from "../../daemon/core/physics/mixes/mix-43.ts";
import { heatEffect } from "../../daemon/core/physics/temperature.ts";
import { parseToroid, stackHeightMeters, stackOf } from "../../daemon/core/physics/toroids.ts";
import { dischargeAreaSquareMeters, roundVents } from "../../daemon/core/physics/vents.ts";
import type { Random } from "../../hardware/simulated/random.ts";
import { boxToAmbientWattsPerKelvin, crossFlowCoefficient, nusseltVerticalPlate } from "../reference/films.ts";
import { settlingPoint } from "../reference/settling.ts";

/** Plastic box of both observations, m. */
const BOX = { widthMeters: 0.102, depthMeters: 0.102, heightMeters: 0.051 };
const RINGS = stackOf(parseToroid("61.0x35.55x12.7mm")!, 3);
const FREE_DELIVERY = 12 * CUBIC_FOOT_PER_MINUTE;
const fahrenheit = (value: number): number => (value - 32) / 1.8;

/** What nobody measured: lowest and highest honest value, and why. */
export const RANGES = {
  lossRatio: [0.8, 1.2, "real cores of one mix against its table"],
  loadRatio: [0.8, 1.25, "volts squared per watt at the primary over 50 Ω, SWR up to 1.25"],
  warmthShare: [0, 1, "share of the loss's growth with temperature that temperature.ts expects (unpublished)"],
  megahertz: [3.5, 3.6, "as observed"],
  flowShare: [0.5, 0.7, "of free delivery, through louvred vents"],
  speedShare: [0, 1, "air speed at the core, from the box's mean to the vents' jets"],
  ferriteShare: [0.65, 1, "of the stack's surface swept by air"],
  windingSquareMeters: [0.004, 0.012, "two dozen turns and their ends, as far as they share the ferrite's heat"],
  emissivity: [0.8, 0.95, "ferrite, enamel and plastic"],
  naturalRatio: [0.75, 1.3, "natural convection against its correlations, in a crowded box"],
  windRatio: [1, 1.5, "outside film against still air"],
  leadsWattsPerKelvin: [0.01, 0.06, "coax and wires that leave the box"],
  outsideFahrenheit: [85, 90, "as observed"],
  shutFahrenheit: [50, 90, "outside, when the box was used shut; not recorded"],
  morseDuty: [0.4, 0.5, "CW"],
  shutOverShare: [0.5, 1, "share of the time spent in overs, when the box was used shut; not recorded"],
  shutLimitCelsius: [100, 130, "core that 'was good for' stands for"],
} as const satisfies Record<string, readonly [number, number, string]>;

/** One draw of everything above. */
export type Draw = { readonly [name in keyof typeof RANGES]: number };

/** Draws each quantity evenly from its range. */
export function drawBox(random: Random): Draw {
  const entries = Object.entries(RANGES).map(([name, [low, high]]) => [name, low + (high - low) * random.unit()]);
  return Object.fromEntries(entries) as Draw;
}

/** What the box does under a draw. Rises are outlet over outside, °F; null where the core runs away. */
export type Behaviour = {
  readonly coreCelsius: number | null;
  readonly outletRiseFahrenheit: number | null;
  /** Peak power of CW at which the shut box's core settles at its limit, W. */
  readonly shutWatts: number;
};

/** The box at 1500 W with its fan, at an average of `duty`, and shut without fan. */
export function behaviour(draw: Draw, primaryTurns: number, duty: number): Behaviour {
  const core: Core = { mix: MIX_43, toroids: RINGS, primaryTurns };
  const fraction = coreLoss(core, draw.megahertz * 1e6, 1).lossFraction * draw.lossRatio * draw.loadRatio;
  const growth = (celsius: number): number => 1 + draw.warmthShare * (heatEffect(MIX_43, celsius).lossFactor - 1);
  const inlet = fahrenheit(draw.outsideFahrenheit);
  const box = ventedBox(draw, inlet);
  const drive = { speedRatio: 1, flowFactor: 1 };
  const settled = settlingPoint(
    (celsius) => 1500 * duty * fraction * growth(celsius),
    (celsius) => steadyLossWatts(box, celsius, inlet, 0, drive).lossWatts,
    inlet,
    MIX_43.curieCelsius! - 0.5,
  );
  const limit = draw.shutLimitCelsius - 0.5;
  const shut = shutHeat(draw, limit) / (fraction * growth(limit) * draw.morseDuty * draw.shutOverShare);
  if (settled.kind === "runs away") return { coreCelsius: null, outletRiseFahrenheit: null, shutWatts: shut };
  const { airCelsius } = steadyLossWatts(box, settled.celsius, inlet, 0, drive);
  return { coreCelsius: settled.celsius, outletRiseFahrenheit: (airCelsius - inlet) * 1.8, shutWatts: shut };
}

/** First observation: an equilibrium below the Curie point, outlet air 22 to 29 °F above outside. */
export function ventedHolds(seen: Behaviour): boolean {
  return seen.outletRiseFahrenheit !== null && seen.outletRiseFahrenheit >= 22 && seen.outletRiseFahrenheit <= 29;
}

/** Second observation: shut and without fan, good for about 600 to 800 W of CW. */
export function shutHolds(seen: Behaviour): boolean {
  return seen.shutWatts >= 600 && seen.shutWatts <= 800;
}

const OUTSIDE = RINGS[0]!.outsideDiameterMeters;
const STACK = stackHeightMeters(RINGS);

function ferriteSquareMeters(): number {
  const { insideDiameterMeters } = RINGS[0]!;
  return (
    Math.PI * (OUTSIDE + insideDiameterMeters) * STACK + (Math.PI / 2) * (OUTSIDE ** 2 - insideDiameterMeters ** 2)
  );
}

/** Mean duct speed past the stack, and the speed of the jets behind the louvres, m/s. */
function speeds(airflow: number): { readonly duct: number; readonly jet: number } {
  const free = BOX.widthMeters * BOX.heightMeters - OUTSIDE * STACK;
  return { duct: airflow / free, jet: airflow / dischargeAreaSquareMeters(roundVents(3, 0.025)) };
}

function ventedBox(draw: Draw, inlet: number): BoxConstants {
  const airflow = draw.flowShare * FREE_DELIVERY;
  const { duct, jet } = speeds(airflow);
  const speed = duct + draw.speedShare * (jet - duct);
  // A stack's own length sets its film; a winding's wire is thin and better cooled, but shielded by its neighbours.
  const ferrite = crossFlowCoefficient(OUTSIDE, speed, 100, inlet);
  const wire = 0.6 * crossFlowCoefficient(1.3e-3, speed, 100, inlet);
  const wall = crossFlowCoefficient(BOX.widthMeters, duct, 45, inlet);
  return {
    ...shutConstants(draw),
    coreToAirWattsPerKelvin:
      ferrite * ferriteSquareMeters() * draw.ferriteShare + Math.min(wire, 3 * ferrite) * draw.windingSquareMeters,
    airHeatFlowWattsPerKelvin: streamWattsPerKelvin(airflow, air(30)),
    airToWallWattsPerKelvin: wall * 0.0416,
    wallToOutsideWattsPerKelvin:
      draw.leadsWattsPerKelvin +
      draw.windRatio * boxToAmbientWattsPerKelvin({ ...BOX, emissivity: draw.emissivity }, 45, inlet),
  };
}

/** Constants that do not depend on the fan, and harmless ones where it does. */
function shutConstants(draw: Draw): BoxConstants {
  const view = 1 / (1 / draw.emissivity + (ferriteSquareMeters() / 0.0416) * (1 / draw.emissivity - 1));
  return {
    coreHeatCapacityJoulesPerKelvin: 262,
    wallHeatCapacityJoulesPerKelvin: 210,
    coreToAirWattsPerKelvin: 0,
    airHeatFlowWattsPerKelvin: 0,
    airToWallWattsPerKelvin: 0,
    wallToOutsideWattsPerKelvin: 0,
    // Radiation of the stack's outside to the wall around it, at the working point for which box.ts states it.
    coreToWallWattsPerKelvin: view * radiationCoefficient(1, 110, 42) * outsideSquareMeters(),
    coreToAirFanOffWattsPerKelvin: 0.2,
    airToWallFanOffWattsPerKelvin: 0.2,
    airHeatFlowFanOffWattsPerKelvin: 0,
    outletLagSeconds: 12,
    outletLagFanOffSeconds: 60,
  };
}

/** What the stack shows the wall: its mantle and both faces, not the bore. */
function outsideSquareMeters(): number {
  return Math.PI * OUTSIDE * STACK + (Math.PI / 2) * OUTSIDE ** 2;
}

/** Heat that leaves the shut box with its core at `coreCelsius`: core → air and wall → outside in series, by bisection on air and wall. */
function shutHeat(draw: Draw, coreCelsius: number): number {
  const outside = fahrenheit(draw.shutFahrenheit);
  let low = outside;
  let high = coreCelsius;
  let through = 0;
  for (let pass = 0; pass < 40; pass++) {
    const wall = (low + high) / 2;
    const shell = { ...BOX, emissivity: draw.emissivity };
    const out = draw.windRatio * boxToAmbientWattsPerKelvin(shell, wall, outside) * (wall - outside);
    through = out + draw.leadsWattsPerKelvin * (coreCelsius - outside);
    if (coreToWallWatts(draw, coreCelsius, wall) > out) low = wall;
    else high = wall;
  }
  return through;
}

function coreToWallWatts(draw: Draw, core: number, wall: number): number {
  const still = wall + 0.45 * (core - wall);
  const film = air((core + still) / 2);
  const kelvin = film.celsius + ZERO_CELSIUS_KELVIN;
  const conductivity = film.conductivityWattsPerMeterKelvin;
  const round =
    (nusseltHorizontalCylinder(rayleigh(core - still, kelvin, OUTSIDE, film), film.prandtl) * conductivity) / OUTSIDE;
  const inner =
    (nusseltVerticalPlate(rayleigh(still - wall, kelvin, BOX.heightMeters, film), film.prandtl) * conductivity) /
    BOX.heightMeters;
  const coreToAir = draw.naturalRatio * round * (ferriteSquareMeters() * draw.ferriteShare + draw.windingSquareMeters);
  const airToWall = draw.naturalRatio * inner * 0.0416;
  const convection = (coreToAir * airToWall) / (coreToAir + airToWall);
  const view = 1 / (1 / draw.emissivity + (ferriteSquareMeters() / 0.0416) * (1 / draw.emissivity - 1));
  return (convection + view * radiationCoefficient(1, core, wall) * outsideSquareMeters()) * (core - wall);
}
