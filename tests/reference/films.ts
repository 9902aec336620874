// Films of surfaces that the model does not compute but has priors for: plates, a cylinder in a stream, the outside of a box. The
// priors are held against them. Published correlations, W/(m²·K) and W/K.

import { air } from "../../daemon/core/physics/air.ts";
import { STANDARD_ATMOSPHERE_PASCALS, ZERO_CELSIUS_KELVIN } from "../../daemon/core/physics/constants.ts";
import { radiationCoefficient, rayleigh } from "../../daemon/core/physics/convection.ts";
import { within } from "../../daemon/core/physics/physics-error.ts";

/** Nusselt number of a vertical plate, any Rayleigh number up to 1e12 (Churchill and Chu 1975, eq. for all Ra). */
export function nusseltVerticalPlate(rayleighNumber: number, prandtl: number): number {
  within("Rayleigh number", rayleighNumber, 0, 1e13);
  const shape = (1 + (0.492 / prandtl) ** (9 / 16)) ** (8 / 27);
  return (0.825 + (0.387 * rayleighNumber ** (1 / 6)) / shape) ** 2;
}

/**
 * Nusselt number of a horizontal plate by area over perimeter: warm side up (0.54·Ra^¼, 0.15·Ra^⅓ from 1e7) or warm side
 * down (0.27·Ra^¼) (McAdams; Lloyd and Moran, as in Incropera). Below Ra 1e4, where they do not hold, a floor of 1.
 */
export function nusseltHorizontalPlate(rayleighNumber: number, warmSideUp: boolean): number {
  within("Rayleigh number", rayleighNumber, 0, 1e11);
  const quarter = rayleighNumber ** 0.25;
  if (!warmSideUp) return Math.max(1, 0.27 * quarter);
  return Math.max(1, rayleighNumber < 1e7 ? 0.54 * quarter : 0.15 * rayleighNumber ** (1 / 3));
}

/** Nusselt number of a cylinder in cross-flow, Re·Pr above 0.2 (Churchill and Bernstein 1977). */
export function nusseltCrossFlow(reynolds: number, prandtl: number): number {
  within("Reynolds times Prandtl number", reynolds * prandtl, 0.2, 1e8);
  const shape = (1 + (0.4 / prandtl) ** (2 / 3)) ** 0.25;
  const rest = (1 + (reynolds / 282_000) ** (5 / 8)) ** 0.8;
  return 0.3 + ((0.62 * Math.sqrt(reynolds) * Math.cbrt(prandtl)) / shape) * rest;
}

/** Film coefficient of a cylinder in cross-flow of air, W/(m²·K); properties at the mean of surface and air. */
export function crossFlowCoefficient(
  diameterMeters: number,
  speedMetersPerSecond: number,
  surfaceCelsius: number,
  airCelsius: number,
  pressurePascals = STANDARD_ATMOSPHERE_PASCALS,
): number {
  const film = air((surfaceCelsius + airCelsius) / 2, 0, pressurePascals);
  const reynolds = (speedMetersPerSecond * diameterMeters) / film.kinematicViscositySquareMetersPerSecond;
  return (nusseltCrossFlow(reynolds, film.prandtl) * film.conductivityWattsPerMeterKelvin) / diameterMeters;
}

/** Outside of a closed box, m, standing on or hanging from something that does not cool it. */
export type BoxOutside = {
  readonly widthMeters: number;
  readonly depthMeters: number;
  readonly heightMeters: number;
  readonly emissivity: number;
};

/** Area of the six faces, m². */
export function boxAreaSquareMeters(box: BoxOutside): number {
  const { widthMeters: w, depthMeters: d, heightMeters: h } = box;
  return 2 * (w * d + w * h + d * h);
}

/**
 * Conductance from the box's outside to still air and surroundings at `ambientCelsius`, W/K: sides by Churchill and Chu,
 * top and bottom by the plate correlations, all faces radiating. Wind only raises it. A box at ambient has none to
 * speak of; the film is then taken at 1 K.
 */
export function boxToAmbientWattsPerKelvin(box: BoxOutside, wallCelsius: number, ambientCelsius: number): number {
  const difference = Math.max(Math.abs(wallCelsius - ambientCelsius), 1);
  const film = air((wallCelsius + ambientCelsius) / 2);
  const filmKelvin = film.celsius + ZERO_CELSIUS_KELVIN;
  const { widthMeters, depthMeters, heightMeters, emissivity } = box;
  const conductivity = film.conductivityWattsPerMeterKelvin;
  const sides =
    (nusseltVerticalPlate(rayleigh(difference, filmKelvin, heightMeters, film), film.prandtl) * conductivity) /
    heightMeters;
  const plate = widthMeters * depthMeters;
  const plateLength = plate / (2 * (widthMeters + depthMeters));
  const plateRayleigh = rayleigh(difference, filmKelvin, plateLength, film);
  const warm = wallCelsius >= ambientCelsius;
  const up = (nusseltHorizontalPlate(plateRayleigh, warm) * conductivity) / plateLength;
  const down = (nusseltHorizontalPlate(plateRayleigh, !warm) * conductivity) / plateLength;
  const convection = 2 * (widthMeters + depthMeters) * heightMeters * sides + plate * (up + down);
  return convection + boxAreaSquareMeters(box) * radiationCoefficient(emissivity, wallCelsius, ambientCelsius);
}
