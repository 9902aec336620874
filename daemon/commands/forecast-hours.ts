// Flags and tables of `emberwire forecast` → consecutive hours with air, sun and what is sent. It computes no core.
import { RequestError } from "../config/problem.ts";
import { quantity } from "../config/quantity.ts";
import { CLIMATE_NORMALS } from "../core/estimate/climate-normals.ts";
import type { ForecastInput, PlannedOvers } from "../core/estimate/forecast.ts";
import type { Model } from "../core/estimate/model.ts";
import { bandNamed } from "../core/physics/bands.ts";
import { absorbedSunWatts, clearSky } from "../core/physics/sun.ts";
import { type AirRow, type PlanRow, readAirTable, readPlan } from "../recording/plan-table.ts";
import { solarTimeMilliseconds, sunPosition } from "../station/sun.ts";
import { COMMAND_LINE } from "./figures.ts";

/** As commander hands them over. */
export type ForecastFlags = {
  readonly plan: string;
  readonly air?: string;
  readonly normals?: string;
  readonly warmer: string;
  readonly sun?: string;
  readonly config?: string;
  readonly model?: string;
  readonly overs: string;
  readonly fanStopped?: boolean;
  readonly json?: boolean;
};

/** The box that the priors of the model stand for, grey. */
const SUNNY_BOX = { widthMeters: 0.102, depthMeters: 0.102, heightMeters: 0.051, absorptivity: 0.7 };

/** @throws RequestError with every fault of the tables, or the first of the flags */
export function hoursOf(flags: ForecastFlags, model: Model, altitudeMeters: number): ForecastInput[] {
  const place = { what: "--warmer", where: COMMAND_LINE, low: -60, high: 60 };
  const warmerKelvin = quantity(flags.warmer, "temperatureDifference", place);
  const sunAt = sunOf(flags, altitudeMeters);
  const plan = readPlan(flags.plan, "--plan");
  const last = plan.at(-1)?.hour ?? 0;
  const air = airOf(flags, plan[0]?.hour ?? 0, last);
  const missing = plan.find((row) => !air.some((hour) => hour.hour === row.hour));
  if (missing !== undefined) {
    const got = `hours ${air[0]?.hour} to ${air.at(-1)?.hour}`;
    const expected = `air for every planned hour (${missing.hour} is missing)`;
    throw new RequestError([{ what: "hour", where: `${flags.plan}:${missing.line}`, expected, got }]);
  }
  return air.map(({ hour, airCelsius, sunWatts }) => {
    const row = plan.find((planned) => planned.hour === hour);
    return {
      hour,
      airCelsius: airCelsius + warmerKelvin,
      sunWatts: sunWatts + sunAt(hour),
      overs: row === undefined ? null : oversOf(flags.plan, row, model),
    };
  });
}

function oversOf(file: string, row: PlanRow, model: Model): PlannedOvers {
  const band = model.bands.find((known) => known.band === bandNamed(row.band)?.name);
  if (band === undefined) {
    const expected = `one of ${model.bands.map((known) => known.band).join(", ")}`;
    throw new RequestError([{ what: "band", where: `${file}:${row.line}`, expected, got: `"${row.band}"` }]);
  }
  return { band, mode: row.mode, overShare: row.overShare, driveWatts: row.driveWatts };
}

function airOf(flags: ForecastFlags, first: number, last: number): AirRow[] {
  if ((flags.air === undefined) === (flags.normals === undefined)) {
    const got = flags.air === undefined ? "neither" : "both";
    throw new RequestError([{ what: "--air", where: COMMAND_LINE, expected: "either --air or --normals", got }]);
  }
  if (flags.air !== undefined) return consecutive(flags.air, readAirTable(flags.air, "--air"));
  const place = { what: "--normals", where: COMMAND_LINE, low: 1, high: 12, whole: true };
  const month = CLIMATE_NORMALS[quantity(flags.normals ?? "", "count", place) - 1]!;
  return Array.from({ length: last - first + 1 }, (_, index) => ({
    line: 0,
    hour: first + index,
    airCelsius: month[(first + index) % 24]!,
    sunWatts: 0,
  }));
}

/** Heat of a clear sky on the box at an hour of the plan, W; nothing where no place is given. */
function sunOf(flags: ForecastFlags, altitudeMeters: number): (hour: number) => number {
  if (flags.sun === undefined) return () => 0;
  const parts = flags.sun.split(",");
  const [latitude, longitude, date] = parts;
  const day = /^\d{4}-\d{2}-\d{2}$/.test(date ?? "") ? Date.parse(`${date}T00:00:00Z`) : Number.NaN;
  if (parts.length !== 3 || latitude === undefined || longitude === undefined || Number.isNaN(day)) {
    const expected = "latitude,longitude,date such as 47.5,8.5,2026-07-01";
    throw new RequestError([{ what: "--sun", where: COMMAND_LINE, expected, got: `"${flags.sun.slice(0, 40)}"` }]);
  }
  const degrees = (text: string, most: number) =>
    quantity(text, "count", { what: "--sun", where: COMMAND_LINE, low: -most, high: most });
  const site = { latitudeDegrees: degrees(latitude, 90), longitudeDegrees: degrees(longitude, 180) };
  return (hour) => {
    const { elevationDegrees } = sunPosition(site, solarTimeMilliseconds(site, day, hour));
    return absorbedSunWatts(SUNNY_BOX, clearSky(elevationDegrees, altitudeMeters), elevationDegrees);
  };
}

function consecutive(file: string, rows: AirRow[]): AirRow[] {
  const gap = rows.find((row, index) => index > 0 && row.hour !== rows[index - 1]!.hour + 1);
  if (gap === undefined) return rows;
  const expected = "hours one after the other";
  throw new RequestError([{ what: "hour", where: `${file}:${gap.line}`, expected, got: String(gap.hour) }]);
}
