// Figures as they stand on paper: dates of the reader's day, times, temperatures, energies. Metric, and rounded to what is worth reading.

import type { SeasonReview } from "../../wire/season.ts";

/** Whose days are meant. */
type Place = Pick<SeasonReview, "utc_offset_seconds">;

export const date = (seconds: number, { utc_offset_seconds }: Place): string =>
  new Date((seconds + utc_offset_seconds) * 1000).toISOString().slice(0, 10);

/** A whole number of hours, or nothing at UTC itself. */
export function offset({ utc_offset_seconds }: Place): string {
  const whole = utc_offset_seconds / 3_600;
  return whole === 0 ? "" : whole > 0 ? `+${whole}` : `−${-whole}`;
}

/** A span in the unit that fits it. */
export function hours(seconds: number): string {
  if (seconds < 60) return `${seconds.toFixed(0)} s`;
  if (seconds < 3_600) return `${(seconds / 60).toFixed(0)} min`;
  return `${(seconds / 3_600).toFixed(1)} h`;
}

export const celsius = (value: number | null): string => (value === null ? "not known" : `${value.toFixed(0)} °C`);

/** Joules as watt-hours. */
export function energy(joules: number): string {
  const wattHours = joules / 3_600;
  return wattHours < 1_000 ? `${wattHours.toFixed(0)} Wh` : `${(wattHours / 1_000).toFixed(2)} kWh`;
}
