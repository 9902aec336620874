// The sun over a station, against facts of astronomy: heights at solstice and equinox, bearings, night.
import { describe, expect, it } from "vitest";
import { solarTimeMilliseconds, sunPosition } from "../../daemon/station/sun.ts";

const site = { latitudeDegrees: 51.4779, longitudeDegrees: 0 };
const at = (iso: string): number => Date.parse(iso);

describe("sun over a station", () => {
  it("stands at noon of the solstices at 90° − latitude ± 23.44°, due south", () => {
    // Obliquity of the ecliptic 23.44° (any almanac); refraction lifts a high sun by less than 0.05°.
    const june = sunPosition(site, at("2025-06-21T12:02:00Z"));
    const december = sunPosition(site, at("2025-12-21T11:58:00Z"));
    expect(june.elevationDegrees).toBeCloseTo(90 - 51.4779 + 23.44, 0);
    expect(december.elevationDegrees).toBeCloseTo(90 - 51.4779 - 23.44, 0);
    expect(Math.abs(june.azimuthDegrees - 180)).toBeLessThan(2);
  });

  it("rises in the east and sets in the west at the equinox", () => {
    expect(Math.abs(sunPosition(site, at("2025-03-20T06:07:00Z")).azimuthDegrees - 90)).toBeLessThan(3);
    expect(Math.abs(sunPosition(site, at("2025-03-20T18:12:00Z")).azimuthDegrees - 270)).toBeLessThan(3);
  });

  it("is below the horizon at night", () => {
    expect(sunPosition(site, at("2025-06-21T23:59:00Z")).elevationDegrees).toBeLessThan(-10);
  });

  it("culminates at solar noon wherever the site is", () => {
    for (const longitudeDegrees of [-120, -5, 0, 30, 150]) {
      const here = { latitudeDegrees: 40, longitudeDegrees };
      // 15 April: the equation of time is zero (any almanac).
      const noon = solarTimeMilliseconds(here, at("2025-04-15T00:00:00Z"), 12);
      expect(Math.abs(sunPosition(here, noon).azimuthDegrees - 180)).toBeLessThan(1);
    }
  });
});
