// Constants of nature and of definition that several files share. Nothing measured on a particular box stands here.

/** Vacuum permeability, H/m. CODATA 2018 differs from 4π·10⁻⁷ by 5 parts in 10¹⁰ only. */
export const VACUUM_PERMEABILITY = 4e-7 * Math.PI;

/** 0 °C in kelvin (SI definition of the Celsius scale). */
export const ZERO_CELSIUS_KELVIN = 273.15;

/** Stefan–Boltzmann constant, W/(m²·K⁴) (CODATA 2018, exact since 2019). */
export const STEFAN_BOLTZMANN = 5.670374419e-8;

/** Standard acceleration of gravity, m/s² (3rd CGPM, 1901). */
export const STANDARD_GRAVITY = 9.80665;

/** One standard atmosphere, Pa (10th CGPM, 1954). */
export const STANDARD_ATMOSPHERE_PASCALS = 101_325;
