// The simulated weather: a day like a day, and the same one each time.
import { describe, expect, it } from "vitest";
import { type Climate, vapourPascals, weatherAt } from "../../../hardware/simulated/weather.ts";

const CLIMATE: Climate = {
  seed: 5,
  meanCelsius: 18,
  swingKelvin: 6,
  dewPointCelsius: 10,
  unrestKelvin: 0.5,
  sunriseHour: 6,
  sunsetHour: 20,
  noonSunWatts: 6,
  cloudRatio: 0.4,
};
const HOUR = 3600;

describe("the weather", () => {
  it("is the same whenever and in whatever order it is asked", () => {
    const times = Array.from({ length: 100 }, (_, step) => step * 977);
    const forwards = times.map((time) => weatherAt(CLIMATE, time));
    const backwards = [...times].reverse().map((time) => weatherAt(CLIMATE, time));
    expect(backwards.reverse()).toEqual(forwards);
    expect(weatherAt({ ...CLIMATE, seed: 6 }, 5000)).not.toEqual(weatherAt(CLIMATE, 5000));
  });

  it("is warmest in the afternoon, coolest before dawn, dampest when coolest", () => {
    for (const day of [0, 1, 2, 9]) {
      const at = (hour: number) => weatherAt(CLIMATE, (24 * day + hour) * HOUR);
      expect(at(15).airCelsius - at(3).airCelsius).toBeGreaterThan(8);
      expect(at(3).humidityRatio).toBeGreaterThan(at(15).humidityRatio + 0.2);
    }
  });

  it("keeps the sun down at night, humidity between 0 and 1, and changes without jumps", () => {
    let before = weatherAt(CLIMATE, 0);
    let brightest = 0;
    for (let seconds = 0; seconds < 2 * 24 * HOUR; seconds += 300) {
      const now = weatherAt(CLIMATE, seconds);
      const hour = (seconds / HOUR) % 24;
      if (hour < 6 || hour > 20) expect(now.sunWatts).toBe(0);
      expect(now.sunWatts).toBeLessThanOrEqual(CLIMATE.noonSunWatts);
      brightest = Math.max(brightest, now.sunWatts);
      expect(now.humidityRatio).toBeGreaterThan(0.2);
      expect(now.humidityRatio).toBeLessThanOrEqual(1);
      expect(Math.abs(now.airCelsius - before.airCelsius)).toBeLessThan(0.4);
      before = now;
    }
    expect(brightest).toBeGreaterThan(0.8 * CLIMATE.noonSunWatts);
  });

  it("knows how much water air can hold", () => {
    // ASHRAE Handbook of Fundamentals 2017, chapter 1, table 3, as psychrolib reproduces it: Pa over water.
    for (const [celsius, pascals] of [
      [5, 872.487],
      [25, 3169.216],
      [50, 12349.856],
    ] as const)
      expect(Math.abs(vapourPascals(celsius) / pascals - 1)).toBeLessThan(0.006);
  });
});
