// The truth: heat in a feedpoint box, finer than any estimator. Toroids in series in the air, each with a bore and an outside half,
// a winding, a wall with two faces, radiation, buoyancy, a core that may run away past its Curie point.
// Pure: no clock, no randomness, no allocation per step. It never knows what a sensor makes of it, except the outlet sensor's lag.

import type { PlantParameters } from "./plant-parameters.ts";
import { BORE_MASS, type Flows, type PlantInput, type PlantState } from "./plant-state.ts";

export { drawPlant, nominalPlant, type PlantParameters } from "./plant-parameters.ts";
export {
  beginPlant,
  hottestToroidCelsius,
  meanCoreCelsius,
  outletCelsius,
  type PlantInput,
  type PlantState,
  sensedOutletCelsius,
  storedJoules,
  wallCelsius,
} from "./plant-state.ts";

const KELVIN = 273.15;
/** 4·T³ at 350 K and at 300 K: turn conductances named at those temperatures into coefficients of T⁴. */
const CUBE_350 = 4 * 350 ** 3;
const CUBE_300 = 4 * 300 ** 3;
/** How the three surfaces of the stack share the air. */
const AIR_OUTSIDE = 0.62;
const AIR_BORE = 0.26;
const AIR_WINDING = 0.12;
const LONGEST_SUBSTEP_SECONDS = 1;

/** Loss over loss at 25 °C: a gentle slope, then the surge as the permeability collapses around the Curie point. */
export function lossGrowth(parameters: PlantParameters, celsius: number): number {
  const collapse = 1 / (1 + Math.exp((parameters.curieCelsius - celsius) / parameters.curieWidthKelvin));
  return Math.max(0.5, 1 + parameters.lossSlopePerKelvin * (celsius - 25)) + parameters.collapseGain * collapse;
}

/** Moves the box on by `input.dtSeconds` (any length; divided inside). Heun's method; changes `state` in place. */
export function advancePlant(parameters: PlantParameters, state: PlantState, input: PlantInput): void {
  const steps = Math.ceil(input.dtSeconds / LONGEST_SUBSTEP_SECONDS - 1e-9);
  if (!(steps > 0)) return;
  const dt = input.dtSeconds / steps;
  const { nodes, slope, secondSlope, trial, flows, ledger } = state;
  const forced = Math.max(0, input.fanRatio * input.flowFactor);
  const forcedConvection = forced > 0 ? forced ** parameters.forcedExponent : 0;
  const lagRate =
    1 / parameters.sensorLagFanOffSeconds +
    Math.min(1, forcedConvection) * (1 / parameters.sensorLagFanOnSeconds - 1 / parameters.sensorLagFanOffSeconds);
  const keep = Math.exp(-dt * lagRate);
  for (let step = 0; step < steps; step += 1) {
    evaluate(parameters, nodes, input, forced, forcedConvection, flows, slope);
    const loss = flows.lossWatts;
    const air = flows.airWatts;
    const outside = flows.outsideWatts;
    for (let at = 0; at < nodes.length; at += 1) trial[at] = nodes[at]! + dt * slope[at]!;
    evaluate(parameters, trial, input, forced, forcedConvection, flows, secondSlope);
    for (let at = 0; at < nodes.length; at += 1) nodes[at]! += 0.5 * dt * (slope[at]! + secondSlope[at]!);
    ledger.lossJoules += 0.5 * dt * (loss + flows.lossWatts);
    ledger.airJoules += 0.5 * dt * (air + flows.airWatts);
    ledger.outsideJoules += 0.5 * dt * (outside + flows.outsideWatts);
    ledger.sunJoules += dt * input.sunWatts;
    state.sensedOutletCelsius = flows.outletCelsius + (state.sensedOutletCelsius - flows.outletCelsius) * keep;
  }
}

/** Slopes of all nodes (K/s) and the flows between them, from temperatures `t`. */
function evaluate(
  p: PlantParameters,
  t: Float64Array,
  input: PlantInput,
  forced: number,
  forcedConvection: number,
  flows: Flows,
  slope: Float64Array,
): void {
  const n = p.toroids;
  const winding = t[2 * n]!;
  const innerWall = t[2 * n + 1]!;
  const outerWall = t[2 * n + 2]!;
  const inlet = input.inletCelsius;
  const boxAir = flows.outletCelsius;

  let core = 0;
  for (let i = 0; i < n; i += 1) core += (1 - BORE_MASS) * t[i]! + BORE_MASS * t[n + i]!;
  core /= n;

  // Forced and natural convection blend by cubes, through-flow by squares, so that nothing jumps when the fan stops.
  const overAir = Math.abs(core - boxAir) + 0.5;
  const quarterRoot = Math.sqrt(Math.sqrt(overAir / 70));
  const wallRoot = Math.sqrt(Math.sqrt((Math.abs(boxAir - innerWall) + 0.5) / 30));
  const coreToAir = blendCubes(p.coreToAirFanOn * forcedConvection, p.coreToAirFanOff * quarterRoot);
  const airToWall = blendCubes(p.airToWallFanOn * forcedConvection, p.airToWallFanOff * wallRoot);
  // The fan stands at the outlet and moves volume: hotter air carries less.
  const fanFlow = (p.airFlow * forced * 303.15) / (boxAir + KELVIN);
  const buoyant = p.airFlowFanOff * input.flowFactor * Math.sqrt(Math.max(0.5, boxAir - inlet) / 30);
  const through = Math.sqrt(fanFlow * fanFlow + buoyant * buoyant);
  const circulation = p.circulation * quarterRoot;

  // The stream along the stack: t_(i+1) = t_i + ε·(surface_i − t_i). First what it gains from the surfaces alone, then where it must start,
  // because part of what leaves comes round again.
  const past = through * p.bypassShare;
  const stream = through - past + circulation;
  const whole = through + circulation;
  const grip = 1 - Math.exp(-coreToAir / (n * stream));
  const wallGrip = 1 - Math.exp(-airToWall / whole);
  let gained = 0;
  let passed = 1;
  for (let i = 0; i < n; i += 1) {
    const surface = AIR_OUTSIDE * t[i]! + AIR_BORE * t[n + i]! + AIR_WINDING * winding;
    gained += grip * (surface - gained);
    passed *= 1 - grip;
  }
  const fixed = ((1 - wallGrip) * (stream * gained + (passed * (through - past) + past) * inlet)) / whole;
  const outlet = (fixed + wallGrip * innerWall) / (1 - ((1 - wallGrip) * passed * circulation) / whole);
  let air = ((through - past) * inlet + circulation * outlet) / stream;
  const exchange = stream * grip;

  // Heat made: a lossier core takes its share from the load, as a conductance across a matched source does.
  let toAir = 0;
  let radiated = 0;
  let loss = 0;
  let windingGain = 0;
  const oneCapacity = p.ferriteHeatCapacity / n;
  const seen = n > 1 ? 0.5 * n + 1 : 1;
  const wallFourth = fourthPower(innerWall);
  const windingToOne = p.windingToBore / n;
  for (let i = 0; i < n; i += 1) {
    const outside = t[i]!;
    const bore = t[n + i]!;
    const mean = (1 - BORE_MASS) * outside + BORE_MASS * bore;
    const ratio = input.lossFraction * p.toroidLossFactors[i]! * lossGrowth(p, mean);
    const excess = ratio - input.lossFraction * p.toroidLossFactors[i]!;
    const voltage = 2 / (2 + Math.max(-1, excess));
    const heat = (input.driveWatts * ratio * voltage * voltage) / n;
    loss += heat;
    const ferriteHeat = heat * (1 - p.copperShare);
    windingGain += heat * p.copperShare;

    const outsideToAir = exchange * AIR_OUTSIDE * (outside - air);
    const boreToAir = exchange * AIR_BORE * (bore - air);
    const windingToAir = exchange * AIR_WINDING * (winding - air);
    toAir += outsideToAir + boreToAir + windingToAir;
    air += grip * (AIR_OUTSIDE * outside + AIR_BORE * bore + AIR_WINDING * winding - air);

    // The ends of the stack see the wall with a face more than the middle does.
    const share = i === 0 || i === n - 1 ? 1 / seen : 0.5 / seen;
    const toWall = ((p.coreToWallRadiation * share) / CUBE_350) * (fourthPower(outside) - wallFourth);
    radiated += toWall;
    const across = p.boreToOutside * (bore - outside);
    const intoBore = windingToOne * (winding - bore);
    windingGain -= intoBore + windingToAir;
    let neighbours = 0;
    if (i > 0) neighbours += t[i - 1]! - outside;
    if (i < n - 1) neighbours += t[i + 1]! - outside;
    slope[i] =
      (ferriteHeat * (1 - p.boreLossShare) + across + p.toroidToToroid * neighbours - outsideToAir - toWall) /
      (oneCapacity * (1 - BORE_MASS));
    slope[n + i] = (ferriteHeat * p.boreLossShare - across + intoBore - boreToAir) / (oneCapacity * BORE_MASS);
  }
  const carried = through * (outlet - inlet);
  const airToInner = toAir - carried;
  const throughWall = p.throughWall * (innerWall - outerWall);
  const difference = outerWall - input.ambientCelsius;
  const outsideFlow =
    p.wallConvection * Math.sqrt(Math.sqrt((Math.abs(difference) + 0.5) / 15)) * difference +
    (p.wallRadiation / CUBE_300) * (fourthPower(outerWall) - fourthPower(input.ambientCelsius));
  slope[2 * n] = windingGain / p.windingHeatCapacity;
  slope[2 * n + 1] = (airToInner + radiated - throughWall) / (0.5 * p.wallHeatCapacity);
  slope[2 * n + 2] = (throughWall + input.sunWatts - outsideFlow) / (0.5 * p.wallHeatCapacity);

  flows.lossWatts = loss;
  flows.coreToAirWatts = toAir;
  flows.airToWallWatts = airToInner;
  flows.coreToWallWatts = radiated;
  flows.airWatts = carried;
  flows.outsideWatts = outsideFlow;
  flows.airFlowWattsPerKelvin = through;
  flows.outletCelsius = outlet;
}

function fourthPower(celsius: number): number {
  const kelvin = celsius + KELVIN;
  const square = kelvin * kelvin;
  return square * square;
}

function blendCubes(forced: number, natural: number): number {
  return Math.cbrt(forced * forced * forced + natural * natural * natural);
}
