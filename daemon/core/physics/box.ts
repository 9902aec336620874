// The box as a thermal network: core and wall hold heat, the air between them does not, the outlet sensor lags.
// It knows nothing of measurements or of uncertainty; heats, temperatures and lengths of time come in as arguments.

/** Constants of the network. Those without "FanOff" in the name hold at nominal fan speed with clean vents. */
export type BoxConstants = {
  readonly coreHeatCapacityJoulesPerKelvin: number;
  readonly wallHeatCapacityJoulesPerKelvin: number;
  /** Core to the air around it; scales with (speed ratio × flow factor)^0.6. */
  readonly coreToAirWattsPerKelvin: number;
  /** ρ·c_p·V̇ of the air stream with 30 °C at the fan; scales with speed ratio × flow factor, and with the air's density there. */
  readonly airHeatFlowWattsPerKelvin: number;
  /** Air to wall; scales as core to air does. */
  readonly airToWallWattsPerKelvin: number;
  readonly wallToOutsideWattsPerKelvin: number;
  /** Radiation core to wall with the core near 110 °C and the wall near 42 °C. */
  readonly coreToWallWattsPerKelvin: number;
  /** Natural convection at a core 70 K above its air; scales with (difference / 70 K)^¼. */
  readonly coreToAirFanOffWattsPerKelvin: number;
  readonly airToWallFanOffWattsPerKelvin: number;
  /** Buoyant draught at air 30 K above the inlet; scales with the square root of that rise. */
  readonly airHeatFlowFanOffWattsPerKelvin: number;
  readonly outletLagSeconds: number;
  readonly outletLagFanOffSeconds: number;
};

/**
 * How the air is driven: fan speed over nominal speed, the flow factor (1 = clean vents), and by how much natural convection and
 * draught with the fan stopped exceed the constants (1 unless learned otherwise).
 */
export type AirDrive = { readonly speedRatio: number; readonly flowFactor: number; readonly naturalFactor?: number };

/** Temperatures of the nodes that hold heat. */
export type BoxTemperatures = { readonly coreCelsius: number; readonly wallCelsius: number };

/** What acts on the box: air at the inlet (the wall's surroundings too), sun on the wall, heat made in the core. */
export type BoxInputs = { readonly inletCelsius: number; readonly sunWatts: number; readonly lossWatts: number };

/** Conductances at one working point, W/K; `stopped` when the air moves by buoyancy only. */
export type Conductances = {
  readonly stopped: boolean;
  readonly coreToAir: number;
  readonly airToWall: number;
  readonly airHeatFlow: number;
  readonly coreToWall: number;
};

/** The network at one working point: rates in K/s, their Jacobian in 1/s, and the air as it leaves. */
export type BoxLinearisation = Conductances & {
  readonly airCelsius: number;
  readonly coreRate: number;
  readonly wallRate: number;
  readonly coreByCore: number;
  readonly coreByWall: number;
  readonly wallByCore: number;
  readonly wallByWall: number;
};

/** Below this share of nominal speed the fan moves no more air than buoyancy does. */
export const STOPPED_SPEED_RATIO = 0.15;

/** Film coefficients of bundles and blocks in forced air grow with Re^0.6 (the range of Hilpert's and Žukauskas' correlations). */
export const FILM_EXPONENT = 0.6;

const ICE_POINT_KELVIN = 273.15;

/** (a + b)(a² + b²), a and b the kelvin of core and wall at which `coreToWallWattsPerKelvin` is stated. */
const RADIATION_REFERENCE = 1.723e8;

/** Air at the fan for which `airHeatFlowWattsPerKelvin` is stated. */
const FAN_AIR_KELVIN = 303.15;

/** Share of the core's rise over the inlet that the air around it takes when only buoyancy moves it. */
const STOPPED_AIR_SHARE = 0.25;

/** Conductances of the box at these temperatures. */
export function conductancesAt(
  box: BoxConstants,
  { coreCelsius, wallCelsius }: BoxTemperatures,
  inletCelsius: number,
  { speedRatio, flowFactor, naturalFactor = 1 }: AirDrive,
): Conductances {
  const a = coreCelsius + ICE_POINT_KELVIN;
  const b = wallCelsius + ICE_POINT_KELVIN;
  const coreToWall = (box.coreToWallWattsPerKelvin * (a + b) * (a * a + b * b)) / RADIATION_REFERENCE;
  const rise = coreCelsius - inletCelsius;
  const airRise = STOPPED_AIR_SHARE * rise;
  const naturalToAir =
    naturalFactor * box.coreToAirFanOffWattsPerKelvin * Math.sqrt(Math.sqrt(Math.max(rise - airRise, 1) / 70));
  if (speedRatio > STOPPED_SPEED_RATIO) {
    const flow = speedRatio * flowFactor;
    const film = flow ** FILM_EXPONENT;
    const coreToAir = blended(box.coreToAirWattsPerKelvin * film, naturalToAir);
    const airToWall = blended(box.airToWallWattsPerKelvin * film, box.airToWallFanOffWattsPerKelvin);
    // The fan stands where the air leaves and moves a volume: warmer air carries less. One pass settles it to 0.1 %.
    const thick = box.airHeatFlowWattsPerKelvin * flow;
    const gained = coreToAir * rise + airToWall * (wallCelsius - inletCelsius);
    const leaving = inletCelsius + gained / (thick + coreToAir + airToWall) + ICE_POINT_KELVIN;
    return { stopped: false, coreToAir, airToWall, airHeatFlow: (thick * FAN_AIR_KELVIN) / leaving, coreToWall };
  }
  const draught = box.airHeatFlowFanOffWattsPerKelvin * flowFactor * Math.sqrt(Math.max(airRise, 0.5) / 30);
  return {
    stopped: true,
    coreToAir: naturalToAir,
    airToWall: box.airToWallFanOffWattsPerKelvin,
    airHeatFlow: naturalFactor * draught,
    coreToWall,
  };
}

/** Forced and natural convection together: Churchill's blending with the third power (Nu³ = Nu_forced³ + Nu_natural³; memory). */
function blended(forced: number, natural: number): number {
  return Math.cbrt(forced * forced * forced + natural * natural * natural);
}

/** Air temperature where core, wall and stream meet: the balance of a node that holds no heat. */
export function airCelsiusAt(g: Conductances, coreCelsius: number, wallCelsius: number, inletCelsius: number): number {
  return (
    (g.airHeatFlow * inletCelsius + g.coreToAir * coreCelsius + g.airToWall * wallCelsius) /
    (g.airHeatFlow + g.coreToAir + g.airToWall)
  );
}

/**
 * Rates and Jacobian of the network; conductances are taken as constant within the Jacobian.
 * `lossByCore` is the slope of the loss with the core's temperature, W/K: not zero near the Curie point.
 */
export function lineariseBox(
  box: BoxConstants,
  at: BoxTemperatures,
  { inletCelsius, sunWatts, lossWatts }: BoxInputs,
  air: AirDrive,
  lossByCore = 0,
): BoxLinearisation {
  const { coreCelsius, wallCelsius } = at;
  const g = conductancesAt(box, at, inletCelsius, air);
  const { coreToAir: u, airToWall: w, airHeatFlow: c, coreToWall: r } = g;
  const o = box.wallToOutsideWattsPerKelvin;
  const meet = c + u + w;
  const airCelsius = (c * inletCelsius + u * coreCelsius + w * wallCelsius) / meet;
  const perCore = 1 / box.coreHeatCapacityJoulesPerKelvin;
  const perWall = 1 / box.wallHeatCapacityJoulesPerKelvin;
  const across = (u * w) / meet + r;
  const radiated = r * (coreCelsius - wallCelsius);
  return {
    stopped: g.stopped,
    coreToAir: u,
    airToWall: w,
    airHeatFlow: c,
    coreToWall: r,
    airCelsius,
    coreRate: (lossWatts - u * (coreCelsius - airCelsius) - radiated) * perCore,
    wallRate: (radiated + w * (airCelsius - wallCelsius) - o * (wallCelsius - inletCelsius) + sunWatts) * perWall,
    coreByCore: (lossByCore - u + (u * u) / meet - r) * perCore,
    coreByWall: across * perCore,
    wallByCore: across * perWall,
    wallByWall: -(w - (w * w) / meet + r + o) * perWall,
  };
}

/** φ₁(A·dt) = (e^(A·dt) − 1)/(A·dt) of the 2 × 2 Jacobian A, as p·1 + q·A. */
export type ExponentialStep = { readonly p: number; readonly q: number };

/**
 * Coefficients of φ₁ by the eigenvalues of A, which are real because A is similar to a symmetric matrix (both off-diagonals are positive).
 * A step x + dt·φ₁(A·dt)·rate (exponential Euler, Rosenbrock form) is exact for constant conductances and second order otherwise.
 */
export function exponentialStep(line: BoxLinearisation, dtSeconds: number): ExponentialStep {
  const half = (line.coreByCore + line.wallByWall) / 2;
  const apart = (line.coreByCore - line.wallByWall) / 2;
  const root = Math.sqrt(apart * apart + line.coreByWall * line.wallByCore);
  const fast = phi1((half - root) * dtSeconds);
  const slow = phi1((half + root) * dtSeconds);
  const q = (slow - fast) / (2 * root);
  return { p: slow - q * (half + root), q };
}

function phi1(z: number): number {
  return Math.abs(z) < 1e-9 ? 1 : Math.expm1(z) / z;
}

/** The temperatures `dtSeconds` later under constant inputs; any length of step is stable, accuracy wants steps below about a minute. */
export function advanceBox(
  box: BoxConstants,
  from: BoxTemperatures,
  inputs: BoxInputs,
  air: AirDrive,
  dtSeconds: number,
): BoxTemperatures {
  const line = lineariseBox(box, from, inputs, air);
  const { p, q } = exponentialStep(line, dtSeconds);
  const { coreRate, wallRate } = line;
  return {
    coreCelsius:
      from.coreCelsius + dtSeconds * (p * coreRate + q * (line.coreByCore * coreRate + line.coreByWall * wallRate)),
    wallCelsius:
      from.wallCelsius + dtSeconds * (p * wallRate + q * (line.wallByCore * coreRate + line.wallByWall * wallRate)),
  };
}
