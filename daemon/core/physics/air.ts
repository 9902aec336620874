// Air: pressure by altitude, density with humidity, heat capacity, viscosity, conductivity.
// It never measures anything; pressure, temperature and humidity come in.
import { STANDARD_ATMOSPHERE_PASCALS, STANDARD_GRAVITY, ZERO_CELSIUS_KELVIN } from "./constants.ts";
import { within } from "./physics-error.ts";

// US Standard Atmosphere 1976: sea-level temperature, lapse rate, and its own gas constant over mean molar mass.
const SEA_LEVEL_KELVIN = 288.15;
const LAPSE_KELVIN_PER_METER = 0.0065;
const STANDARD_GAS_CONSTANT = 8314.32 / 28.9644;

// Specific gas constants, J/(kg·K): 8314.462618 over molar masses 28.966 and 18.015268 (CODATA 2018; ASHRAE 2017).
const DRY_GAS_CONSTANT = 287.042;
const VAPOUR_GAS_CONSTANT = 461.524;

// Heat capacities, J/(kg·K): dry air and water vapour at ordinary temperatures (ASHRAE Fundamentals 2017, ch. 1).
const DRY_HEAT_CAPACITY = 1006;
const VAPOUR_HEAT_CAPACITY = 1860;

/** One sample of air and what follows from it, SI. */
export type Air = {
  readonly celsius: number;
  readonly pressurePascals: number;
  readonly densityKilogramsPerCubicMeter: number;
  readonly heatCapacityJoulesPerKilogramKelvin: number;
  /** Dynamic viscosity, Pa·s. */
  readonly viscosityPascalSeconds: number;
  readonly conductivityWattsPerMeterKelvin: number;
  /** Kinematic viscosity, m²/s. */
  readonly kinematicViscositySquareMetersPerSecond: number;
  readonly prandtl: number;
};

/**
 * Pressure at a geopotential altitude in the troposphere, Pa: p0·(1 − L·h/T0)^(g/(R·L)) (US Standard Atmosphere 1976,
 * the same as ISO 2533). −1000 to 11 000 m. The weather moves it by 3 %.
 */
export function pressureAtAltitudePascals(altitudeMeters: number): number {
  within("altitude in m", altitudeMeters, -1000, 11_000);
  const exponent = STANDARD_GRAVITY / (STANDARD_GAS_CONSTANT * LAPSE_KELVIN_PER_METER);
  return STANDARD_ATMOSPHERE_PASCALS * (1 - (LAPSE_KELVIN_PER_METER * altitudeMeters) / SEA_LEVEL_KELVIN) ** exponent;
}

/**
 * Saturation pressure of water vapour, Pa, over ice below the triple point and over liquid water above it, −100 to
 * 200 °C (Hyland and Wexler 1983 as printed in ASHRAE Fundamentals 2017, ch. 1, eq. 5 and 6).
 */
export function saturationPressurePascals(celsius: number): number {
  within("temperature in Celsius", celsius, -100, 200);
  const kelvin = celsius + ZERO_CELSIUS_KELVIN;
  const logarithm =
    celsius <= 0.01
      ? -5.6745359e3 / kelvin +
        6.3925247 +
        kelvin * (-9.677843e-3 + kelvin * (6.2215701e-7 + kelvin * (2.0747825e-9 - 9.484024e-13 * kelvin))) +
        4.1635019 * Math.log(kelvin)
      : -5.8002206e3 / kelvin +
        1.3914993 +
        kelvin * (-4.8640239e-2 + kelvin * (4.1764768e-5 - 1.4452093e-8 * kelvin)) +
        6.5459673 * Math.log(kelvin);
  return Math.exp(logarithm);
}

/**
 * Air at `celsius`, dry and at sea level unless told otherwise; `humidityRatio` is relative humidity, 0 to 1. Ideal
 * mixture for the density (0.3 % at 40 °C against the virial form); viscosity and conductivity of dry air by the
 * formulas of the US Standard Atmosphere 1976. −60 to 300 °C, humidity up to 100 °C. Throws `OUT_OF_RANGE`.
 */
export function air(celsius: number, humidityRatio = 0, pressurePascals = STANDARD_ATMOSPHERE_PASCALS): Air {
  within("air temperature in Celsius", celsius, -60, 300);
  within("relative humidity (0 to 1)", humidityRatio, 0, 1);
  within("air pressure in Pa", pressurePascals, 20_000, 120_000);
  const kelvin = celsius + ZERO_CELSIUS_KELVIN;
  const vapourPascals = humidityRatio === 0 ? 0 : humidityRatio * saturationPressurePascals(Math.min(celsius, 99));
  const vapourDensity = Math.min(vapourPascals, pressurePascals) / (VAPOUR_GAS_CONSTANT * kelvin);
  const dryDensity = Math.max(0, pressurePascals - vapourPascals) / (DRY_GAS_CONSTANT * kelvin);
  const density = dryDensity + vapourDensity;
  const heatCapacity = (dryDensity * DRY_HEAT_CAPACITY + vapourDensity * VAPOUR_HEAT_CAPACITY) / density;
  const viscosity = (1.458e-6 * kelvin ** 1.5) / (kelvin + 110.4);
  const conductivity = (2.64638e-3 * kelvin ** 1.5) / (kelvin + 245.4 * 10 ** (-12 / kelvin));
  return {
    celsius,
    pressurePascals,
    densityKilogramsPerCubicMeter: density,
    heatCapacityJoulesPerKilogramKelvin: heatCapacity,
    viscosityPascalSeconds: viscosity,
    conductivityWattsPerMeterKelvin: conductivity,
    kinematicViscositySquareMetersPerSecond: viscosity / density,
    prandtl: (heatCapacity * viscosity) / conductivity,
  };
}
