// Heat from surfaces to air and to each other: natural convection by published correlations, radiation.
// It never knows the box: sizes and temperatures come in, W/(m²·K) go out.
import { STANDARD_GRAVITY, STEFAN_BOLTZMANN, ZERO_CELSIUS_KELVIN } from "./constants.ts";
import { within } from "./physics-error.ts";

/** Properties of the fluid at the film temperature, as the correlations want them. */
export type Film = {
  readonly conductivityWattsPerMeterKelvin: number;
  readonly kinematicViscositySquareMetersPerSecond: number;
  readonly prandtl: number;
};

/** Rayleigh number g·β·ΔT·L³/(ν·α), β = 1/T of an ideal gas at the film. */
export function rayleigh(differenceKelvin: number, filmKelvin: number, lengthMeters: number, film: Film): number {
  const viscosity = film.kinematicViscositySquareMetersPerSecond;
  const diffusivity = viscosity / film.prandtl;
  return (STANDARD_GRAVITY * differenceKelvin * lengthMeters ** 3) / (filmKelvin * viscosity * diffusivity);
}

/** Nusselt number of a long horizontal cylinder by diameter (Churchill and Chu 1975). */
export function nusseltHorizontalCylinder(rayleighNumber: number, prandtl: number): number {
  within("Rayleigh number", rayleighNumber, 0, 1e12);
  const shape = (1 + (0.559 / prandtl) ** (9 / 16)) ** (8 / 27);
  return (0.6 + (0.387 * rayleighNumber ** (1 / 6)) / shape) ** 2;
}

/**
 * Radiation between a small grey surface and surroundings that enclose it, W/(m²·K) of their difference:
 * ε·σ·(a + b)·(a² + b²) in kelvin (Stefan–Boltzmann).
 */
export function radiationCoefficient(emissivity: number, surfaceCelsius: number, surroundingsCelsius: number): number {
  within("emissivity", emissivity, 0, 1);
  const a = surfaceCelsius + ZERO_CELSIUS_KELVIN;
  const b = surroundingsCelsius + ZERO_CELSIUS_KELVIN;
  return emissivity * STEFAN_BOLTZMANN * (a + b) * (a * a + b * b);
}
