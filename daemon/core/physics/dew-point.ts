// Dew point (below freezing: frost point) and how far a surface is from getting wet.
// It never says what to do about water: that is an alarm's business.
import { saturationPressurePascals } from "./air.ts";
import { within } from "./physics-error.ts";

const LOWEST_CELSIUS = -100;
const STEPS = 60;

/**
 * Temperature at which air of `celsius` and `humidityRatio` (relative, 0 to 1) begins to shed water on a surface, °C:
 * the inverse of the saturation pressure (ASHRAE Fundamentals 2017, ch. 1), by bisection to below 1 µK. Throws
 * `OUT_OF_RANGE` for bone-dry air, which has none above −100 °C.
 */
export function dewPointCelsius(celsius: number, humidityRatio: number): number {
  within("air temperature in Celsius", celsius, -60, 100);
  within("relative humidity (0 to 1)", humidityRatio, 0, 1);
  const vapourPascals = humidityRatio * saturationPressurePascals(celsius);
  const lowest = saturationPressurePascals(LOWEST_CELSIUS);
  within("vapour pressure in Pa", vapourPascals, lowest, Number.POSITIVE_INFINITY);
  let low = LOWEST_CELSIUS;
  let high = celsius;
  for (let step = 0; step < STEPS; step += 1) {
    const middle = (low + high) / 2;
    if (saturationPressurePascals(middle) < vapourPascals) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
