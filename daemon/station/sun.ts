// Where the sun stands over the station, by suncalc. What it puts on the box is core/physics/sun.ts.
// It never decides whether the box is in the shade; the operator says so.
import { getPosition } from "suncalc";

/** Where the station is: degrees north and east. */
export type Site = { readonly latitudeDegrees: number; readonly longitudeDegrees: number };

/** The sun at one instant: height above the horizon (refraction counted), bearing clockwise from north. */
export type SunPosition = { readonly elevationDegrees: number; readonly azimuthDegrees: number };

/** Where the sun stands, seen from the site, at `wallTimeMilliseconds` since the Unix epoch. */
export function sunPosition(site: Site, wallTimeMilliseconds: number): SunPosition {
  const { altitude, azimuth } = getPosition(
    new Date(wallTimeMilliseconds),
    site.latitudeDegrees,
    site.longitudeDegrees,
  );
  return { elevationDegrees: altitude, azimuthDegrees: azimuth };
}

/** Milliseconds since the Unix epoch at an hour of mean solar time at the site, counted from the day's midnight there. */
export function solarTimeMilliseconds(site: Site, dayStartUtcMilliseconds: number, hour: number): number {
  return dayStartUtcMilliseconds + (hour - site.longitudeDegrees / 15) * 3_600_000;
}
