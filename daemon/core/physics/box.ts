// The box as a thermal network: core and wall hold heat, the air between them does not, the outlet sensor lags.
// It knows nothing of measurements or of uncertainty; lengths of time, heats and temperatures come in as arguments.

/** Constants of the network. Conductances "fan on" hold at nominal fan speed with clean vents. */
export type BoxConstants = {
  readonly coreHeatCapacityJoulesPerKelvin: number;
  readonly wallHeatCapacityJoulesPerKelvin: number;
  /** Core to the air around it; scales with (speed ratio × flow factor)^0.6. */
  readonly coreToAirWattsPerKelvin: number;
  /** ρ·c_p·V̇ of the air stream; scales with speed ratio × flow factor. */
  readonly airHeatFlowWattsPerKelvin: number;
  readonly airToWallWattsPerKelvin: number;
  readonly wallToOutsideWattsPerKelvin: number;
  /** Radiation and conduction core to wall with the core near 110 °C and the wall near 42 °C. */
  readonly coreToWallWattsPerKelvin: number;
  /** Natural convection at a core 70 K above the air; scales with (difference / 70 K)^¼. */
  readonly coreToAirFanOffWattsPerKelvin: number;
  readonly airToWallFanOffWattsPerKelvin: number;
  /** Buoyant draught at air 30 K above the inlet; scales with its square root. */
  readonly airHeatFlowFanOffWattsPerKelvin: number;
  readonly outletLagSeconds: number;
  readonly outletLagFanOffSeconds: number;
};

/** How the air is driven: fan speed over nominal speed, and the flow factor (1 = clean vents). */
export type AirDrive = { readonly speedRatio: number; readonly flowFactor: number };

/** Temperatures of the network's nodes. */
export type BoxTemperatures = { readonly coreCelsius: number; readonly wallCelsius: number };

/** What acts on the box from outside. */
export type BoxSurroundings = { readonly inletCelsius: number; readonly sunWatts: number };

/** Conductances at one working point, W/K; `stopped` when the air moves by buoyancy only. */
export type Conductances = {
  readonly stopped: boolean;
  readonly coreToAir: number;
  readonly airToWall: number;
  readonly airHeatFlow: number;
  readonly coreToWall: number;
};

/** Below this share of nominal speed the fan moves less air than buoyancy does. */
export const STOPPED_SPEED_RATIO = 0.15;

const KELVIN = 273.15;

/** (a + b)(a² + b²), a and b the kelvin of core and wall at which `coreToWallWattsPerKelvin` is stated. */
const RADIATION_REFERENCE = 1.723e8;

/** Conductances of the box at these temperatures. */
export function conductances(
  box: BoxConstants,
  coreCelsius: number,
  wallCelsius: number,
  inletCelsius: number,
  air: AirDrive,
): Conductances {
  const a = coreCelsius + KELVIN;
  const b = wallCelsius + KELVIN;
  const coreToWall = (box.coreToWallWattsPerKelvin * (a + b) * (a * a + b * b)) / RADIATION_REFERENCE;
  if (air.speedRatio > STOPPED_SPEED_RATIO) {
    const flow = air.speedRatio * air.flowFactor;
    const film = flow ** 0.6;
    return {
      stopped: false,
      coreToAir: box.coreToAirWattsPerKelvin * film,
      airToWall: box.airToWallWattsPerKelvin * film,
      airHeatFlow: box.airHeatFlowWattsPerKelvin * flow,
      coreToWall,
    };
  }
  const airRise = 0.25 * (coreCelsius - inletCelsius);
  return {
    stopped: true,
    coreToAir: box.coreToAirFanOffWattsPerKelvin * (Math.max(coreCelsius - inletCelsius - airRise, 1) / 70) ** 0.25,
    airToWall: box.airToWallFanOffWattsPerKelvin,
    airHeatFlow: box.airHeatFlowFanOffWattsPerKelvin * air.flowFactor * Math.sqrt(Math.max(airRise, 0.5) / 30),
    coreToWall,
  };
}
