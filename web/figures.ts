// Numbers as the reader wants them: °C or °F, l/s or CFM, local time or UTC, written by Intl. SI comes in, text goes out;
// no other file of the page converts a unit.

import type { Preferences } from "./preferences.ts";

/** A number and its unit as text; the unit may be set smaller. */
export type Figure = { readonly number: string; readonly unit: string };

/** Litres per second in one m³/s, and cubic feet per minute in one m³/s (international foot, 0.3048 m exactly). */
const LITRES_PER_SECOND = 1000;
const CUBIC_FEET_PER_MINUTE = 60 / 0.3048 ** 3;

const JOULES_PER_KILOWATT_HOUR = 3_600_000;
/** Mean Gregorian year, and its twelfth. */
const DAYS_PER_YEAR = 365.2425;
const DAYS_PER_MONTH = DAYS_PER_YEAR / 12;

/** Celsius to Fahrenheit, exact by definition. */
export const fahrenheit = (celsius: number): number => celsius * 1.8 + 32;

/** Everything that writes a number, bound to one reader's choices. */
export type Figures = {
  readonly temperature: (celsius: number, digits?: number) => Figure;
  readonly difference: (kelvin: number, digits?: number) => Figure;
  readonly airflow: (cubicMetersPerSecond: number) => Figure;
  readonly power: (watts: number) => Figure;
  readonly speed: (rpm: number) => Figure;
  readonly electric: (value: number, unit: "V" | "A") => Figure;
  readonly ratio: (ratio: number) => Figure;
  readonly duration: (seconds: number) => Figure;
  readonly clock: (wallSeconds: number, withSeconds?: boolean) => string;
  /** Any number with so many decimals. */
  readonly number: (value: number, digits: number) => string;
  /** Two significant digits, for slopes and doubts. */
  readonly brief: (value: number) => string;
  /** Energy in kWh or Wh. */
  readonly energy: (joules: number) => Figure;
  /** A total of hours, however many. */
  readonly hours: (seconds: number) => Figure;
  /** A time ahead, coarse on purpose. */
  readonly days: (days: number) => string;
  /** Day of a moment that was shifted to the wanted offset, e.g. "14 Mar"; with the weekday and year where `whole`. */
  readonly day: (shiftedSeconds: number, whole?: boolean) => string;
  /** Month of a moment that was shifted to the wanted offset. */
  readonly month: (shiftedSeconds: number, brief?: boolean) => string;
  readonly temperatureValue: (celsius: number) => number;
  /** The daemon's own words with their degrees Celsius put into the reader's unit. */
  readonly readable: (text: string) => string;
};

/** A figure in one string, with the space that does not break. */
export const joined = ({ number, unit }: Figure): string => (unit === "" ? number : `${number}\u00a0${unit}`);

/** Rounds a drive to what can be read and set: 5 W below 200 W, 10 W below 1 kW, 50 W above; downwards, to stay safe. */
export function roundedWatts(watts: number): number {
  const step = watts < 200 ? 5 : watts < 1000 ? 10 : 50;
  return Math.max(0, Math.floor(watts / step) * step);
}

/** Minutes and hours as a person says them; below one minute there is no number to trust. */
function durationFigure(seconds: number, whole: (value: number) => string): Figure {
  if (seconds < 60) return { number: "< 1", unit: "min" };
  const minutes = Math.floor(seconds / 60);
  if (minutes < 90) return { number: whole(minutes), unit: "min" };
  const hours = Math.floor(minutes / 60);
  if (hours >= 24) return { number: "> 24", unit: "h" };
  return { number: `${whole(hours)} h ${whole(minutes - hours * 60)}`, unit: "min" };
}

/** Binds the writers to `preferences`; `locale` undefined means the browser's own. */
export function figuresFor(preferences: Preferences, locale?: string): Figures {
  const inFahrenheit = preferences.temperature === "fahrenheit";
  const inLitres = preferences.airflow === "litres per second";
  const fixed = (digits: number): ((value: number) => string) => {
    const format = new Intl.NumberFormat(locale, { minimumFractionDigits: digits, maximumFractionDigits: digits });
    // Adding zero turns −0 into 0: "−0.0 °C" helps nobody.
    return (value) => format.format(Number(value.toFixed(digits)) + 0);
  };
  const formats = [0, 1, 2, 3].map(fixed);
  const write = (value: number, digits: number): string => {
    const format = formats[digits];
    if (format === undefined) throw new RangeError(`no format with ${digits} decimals`);
    return format(value);
  };
  // A stalled fan's trickle of air is not nothing.
  const writeFlow = (value: number): string => write(value, value < 1 ? 2 : 1);
  const whole = (value: number): string => write(value, 0);
  const zone = preferences.clock === "utc" ? { timeZone: "UTC" } : {};
  const minutes = new Intl.DateTimeFormat(locale, { hour: "2-digit", minute: "2-digit", hourCycle: "h23", ...zone });
  const withSeconds = new Intl.DateTimeFormat(locale, {
    hour: "2-digit",
    minute: "2-digit",
    second: "2-digit",
    hourCycle: "h23",
    ...zone,
  });
  const shifted = (options: Intl.DateTimeFormatOptions): ((seconds: number) => string) => {
    const format = new Intl.DateTimeFormat(locale, { ...options, timeZone: "UTC" });
    return (seconds) => format.format(new Date(seconds * 1000));
  };
  const twoDigits = new Intl.NumberFormat(locale, { maximumSignificantDigits: 2 });
  const day = shifted({ day: "numeric", month: "short" });
  const wholeDay = shifted({ weekday: "short", day: "numeric", month: "short", year: "numeric" });
  const month = shifted({ month: "long" });
  const briefMonth = shifted({ month: "short" });
  const amount = (count: number, unit: "day" | "week" | "month" | "year"): string =>
    new Intl.NumberFormat(locale, { style: "unit", unit, unitDisplay: "long" }).format(Math.max(1, Math.round(count)));
  const temperatureValue = (celsius: number): number => (inFahrenheit ? fahrenheit(celsius) : celsius);
  const inReadersDegrees = (text: string): string =>
    text.replace(/(-?\d+(?:\.(\d+))?)\s*°C/g, (_all, number: string, decimals: string | undefined) =>
      joined({ number: write(fahrenheit(Number(number)), Math.min(2, decimals?.length ?? 0)), unit: "°F" }),
    );
  return {
    temperatureValue,
    readable: (text) => (inFahrenheit ? inReadersDegrees(text) : text),
    temperature: (celsius, digits = 1) => ({
      number: write(temperatureValue(celsius), digits),
      unit: inFahrenheit ? "°F" : "°C",
    }),
    difference: (kelvin, digits = 1) => ({
      number: write(inFahrenheit ? kelvin * 1.8 : kelvin, digits),
      unit: inFahrenheit ? "°F" : "K",
    }),
    airflow: (cubicMetersPerSecond) =>
      inLitres
        ? { number: writeFlow(cubicMetersPerSecond * LITRES_PER_SECOND), unit: "l/s" }
        : { number: writeFlow(cubicMetersPerSecond * CUBIC_FEET_PER_MINUTE), unit: "CFM" },
    power: (watts) => ({ number: whole(watts), unit: "W" }),
    speed: (rpm) => ({ number: whole(Math.round(rpm / 10) * 10), unit: "rpm" }),
    electric: (value, unit) => ({ number: write(value, unit === "V" ? 1 : 2), unit }),
    ratio: (ratio) => ({ number: whole(ratio * 100), unit: "%" }),
    duration: (seconds) => durationFigure(seconds, whole),
    number: write,
    brief: (value) => twoDigits.format(value),
    energy: (joules) =>
      joules >= JOULES_PER_KILOWATT_HOUR
        ? { number: write(joules / JOULES_PER_KILOWATT_HOUR, 1), unit: "kWh" }
        : { number: whole(joules / (JOULES_PER_KILOWATT_HOUR / 1000)), unit: "Wh" },
    hours: (seconds) =>
      seconds < 5400
        ? { number: whole(seconds / 60), unit: "min" }
        : { number: write(seconds / 3600, seconds < 360_000 ? 1 : 0), unit: "h" },
    days: (count) => {
      if (count < 14) return amount(count, "day");
      if (count < 75) return amount(count / 7, "week");
      return count < 730 ? amount(count / DAYS_PER_MONTH, "month") : amount(count / DAYS_PER_YEAR, "year");
    },
    day: (seconds, withYear = false) => (withYear ? wholeDay : day)(seconds),
    month: (seconds, brief = false) => (brief ? briefMonth : month)(seconds),
    clock: (wallSeconds, seconds = false) => (seconds ? withSeconds : minutes).format(new Date(wallSeconds * 1000)),
  };
}
