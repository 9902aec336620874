// Weather over the yard: temperature and humidity of the day, sun on the box, slow and quick fluctuations.
// The same for one seed and time however often and in whatever order it is asked; there is no wind in it.

import { noiseAt } from "./random.ts";

/** What one season's days are like. */
export type Climate = {
  readonly seed: number;
  /** Mean of the day, and half the swing between night and afternoon, °C and K. */
  readonly meanCelsius: number;
  readonly swingKelvin: number;
  /** Dew point of the air, °C; it stays over the day while the temperature swings. */
  readonly dewPointCelsius: number;
  /** Standard deviation of the slow fluctuation, K. */
  readonly unrestKelvin: number;
  /** Sunrise and sunset, hours. */
  readonly sunriseHour: number;
  readonly sunsetHour: number;
  /** Sun absorbed by the wall at a clear noon, W; 0 = the box hangs in the shade. */
  readonly noonSunWatts: number;
  /** Part of the sky under cloud on average. */
  readonly cloudRatio: number;
};

export type Weather = { readonly airCelsius: number; readonly humidityRatio: number; readonly sunWatts: number };

const HOUR = 3600;
/** Warmest at three in the afternoon. */
const WARMEST_HOUR = 15;

/** Weather at `seconds` since midnight of the first day. */
export function weatherAt(climate: Climate, seconds: number): Weather {
  const hour = (((seconds / HOUR) % 24) + 24) % 24;
  const daily = Math.cos((2 * Math.PI * (hour - WARMEST_HOUR)) / 24);
  const slow = wave(climate.seed, seconds / (3 * HOUR));
  const quick = wave(climate.seed + 1, seconds / (12 * 60));
  const airCelsius =
    climate.meanCelsius + climate.swingKelvin * daily + climate.unrestKelvin * (1.6 * slow + 0.5 * quick);
  const dewPoint = Math.min(airCelsius, climate.dewPointCelsius + 0.8 * wave(climate.seed + 2, seconds / (4 * HOUR)));
  const humidityRatio = Math.min(1, vapourPascals(dewPoint) / vapourPascals(airCelsius));
  return { airCelsius, humidityRatio, sunWatts: sunWatts(climate, seconds, hour) };
}

function sunWatts(climate: Climate, seconds: number, hour: number): number {
  const day = climate.sunsetHour - climate.sunriseHour;
  if (hour <= climate.sunriseHour || hour >= climate.sunsetHour) return 0;
  const height = Math.sin((Math.PI * (hour - climate.sunriseHour)) / day);
  const cover = 0.5 + 0.5 * wave(climate.seed + 3, seconds / (25 * 60));
  const clear = cover < climate.cloudRatio ? 0.25 : 1;
  return climate.noonSunWatts * height * clear;
}

/** Smooth noise between −1 and 1 with a knot at every integer. */
function wave(seed: number, position: number): number {
  const knot = Math.floor(position);
  const share = position - knot;
  const blend = share * share * (3 - 2 * share);
  const here = 2 * noiseAt(seed, knot) - 1;
  const next = 2 * noiseAt(seed, knot + 1) - 1;
  return here + (next - here) * blend;
}

/** Saturation vapour pressure over water (Magnus form, WMO-No. 8 coefficients from memory), Pa. */
export function vapourPascals(celsius: number): number {
  return 611.2 * Math.exp((17.62 * celsius) / (243.12 + celsius));
}
