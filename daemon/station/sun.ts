// The sun over the station: where it stands now (suncalc) and what a clear sky would put on the box.
// It never decides whether the box is in the shade; the operator's config says so.
import { getPosition } from "suncalc";
import { absorbedSunWatts, clearSky, type SunnyBox } from "../core/physics/sun.ts";

/** Where the station is: degrees north and east, altitude in m. */
export type Site = {
  readonly latitudeDegrees: number;
  readonly longitudeDegrees: number;
  readonly altitudeMeters: number;
};

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

/** Heat a clear sky puts on the box at that time, W. Needs a trusted wall clock. */
export function clearSkyWatts(site: Site, box: SunnyBox, wallTimeMilliseconds: number): number {
  const { elevationDegrees } = sunPosition(site, wallTimeMilliseconds);
  return absorbedSunWatts(box, clearSky(elevationDegrees, site.altitudeMeters), elevationDegrees);
}
