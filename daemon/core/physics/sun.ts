// Sunshine on the box: clear-sky irradiance from the sun's height, and what a wall takes up of it.
// It never knows the date or the place; the sun's height and bearing come in, from an almanac or nobody.
import { within } from "./physics-error.ts";

/** Irradiance, W/m²: of the beam on a plane facing it, and of the sky on a level plane. */
export type Sunshine = { readonly beamWattsPerSquareMeter: number; readonly skyWattsPerSquareMeter: number };

/** No sun: night, or a box in the shade. */
export const DARK: Sunshine = { beamWattsPerSquareMeter: 0, skyWattsPerSquareMeter: 0 };

const RADIANS = Math.PI / 180;

/** Relative optical air mass for a sun `elevationDegrees` above the horizon (Kasten and Young 1989, from memory). */
export function airMass(elevationDegrees: number): number {
  within("sun's elevation in degrees", elevationDegrees, 0, 90.6);
  return 1 / (Math.sin(elevationDegrees * RADIANS) + 0.50572 * (elevationDegrees + 6.07995) ** -1.6364);
}

/**
 * Sunshine under a clear sky: beam 1353·((1 − 0.14·h)·0.7^(AM^0.678) + 0.14·h) W/m², h the altitude in km (Meinel and
 * Meinel 1976; altitude term Laue 1970; both from memory), sky one tenth of the beam on top. Clear is the most the sun
 * does but for broken cloud, which can add a fifth for minutes. Dark below the horizon.
 */
export function clearSky(elevationDegrees: number, altitudeMeters: number): Sunshine {
  within("sun's elevation in degrees", elevationDegrees, -90.6, 90.6);
  if (elevationDegrees <= 0) return DARK;
  const kilometers = within("altitude in m", altitudeMeters, -500, 9000) / 1000;
  const through = 0.7 ** (airMass(elevationDegrees) ** 0.678);
  const beam = 1353 * ((1 - 0.14 * kilometers) * through + 0.14 * kilometers);
  return { beamWattsPerSquareMeter: beam, skyWattsPerSquareMeter: 0.1 * beam };
}

/** A box in the sun: footprint and sides, m, and how much of the light its surface takes up (white 0.3, grey 0.7, black 0.95). */
export type SunnyBox = {
  readonly widthMeters: number;
  readonly depthMeters: number;
  readonly heightMeters: number;
  readonly absorptivity: number;
};

// Light thrown back by ordinary ground (grass 0.2; any solar text).
const GROUND_ALBEDO = 0.2;

/**
 * Heat the box's walls take up, W: beam on the area the box turns towards it (averaged over all bearings, since nobody
 * surveys a feedpoint), sky light on top and half of the sides, ground-reflected light on the lower half.
 */
export function absorbedSunWatts(box: SunnyBox, sunshine: Sunshine, elevationDegrees: number): number {
  within("absorptivity", box.absorptivity, 0, 1);
  if (elevationDegrees <= 0) return 0;
  const height = Math.min(elevationDegrees, 90) * RADIANS;
  const top = box.widthMeters * box.depthMeters;
  const sides = 2 * (box.widthMeters + box.depthMeters) * box.heightMeters;
  // A vertical prism shows a low sun its perimeter over π times its height, on average over bearings (Cauchy).
  const facing = top * Math.sin(height) + (sides / Math.PI) * Math.cos(height);
  const level = sunshine.beamWattsPerSquareMeter * Math.sin(height) + sunshine.skyWattsPerSquareMeter;
  const diffuse = sunshine.skyWattsPerSquareMeter * (top + sides / 2) + GROUND_ALBEDO * level * (top + sides / 2);
  return box.absorptivity * (sunshine.beamWattsPerSquareMeter * facing + diffuse);
}
