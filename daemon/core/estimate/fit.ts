// A heat run turned into a model: runs the search that is passed in and weighs what came out of it.
// It never calls a run without a core reading a calibration: a good residual proves nothing about the core.

import {
  coreAt,
  covarianceAt,
  FIT_WEIGHTS,
  type FitWeights,
  heatRunProblem,
  type LeastSquaresSolver,
  type Parameter,
  parametersFor,
  riseUncertaintyOf,
  roomFor,
  simulate,
  WIDENING,
} from "./identify.ts";
import type { Model } from "./model.ts";
import { BLOCK_SECONDS, cutIntoBlocks, type HeatRunSample, type Refusal, refusalsOf } from "./recording.ts";

/** One quantity of the fit, before and after. */
export type FittedQuantity = {
  /** Constant's name, or `kappa 80 m`. */
  readonly name: string;
  readonly prior: number;
  readonly priorUncertaintyRatio: number;
  readonly value: number;
  /** Standard uncertainty of the logarithm, widened. */
  readonly uncertaintyRatio: number;
  /** How far the value moved, in the prior's standard uncertainties. */
  readonly movedBy: number;
  /** Share of the prior's uncertainty that is left; 1 = the data said nothing. */
  readonly leftOfPrior: number;
  /** False when the data did not move it: the value is then the prior's. */
  readonly identified: boolean;
};

export type HeatRunFit = {
  readonly model: Model;
  readonly quantities: readonly FittedQuantity[];
  /** Correlation of the quantities, by rows in their order. */
  readonly correlation: readonly (readonly number[])[];
  /** rms of outlet measured minus fitted, K. Says nothing about the core. */
  readonly outletResidualKelvin: number;
  readonly spots: readonly { readonly atSeconds: number; readonly celsius: number; readonly fittedCelsius: number }[];
  /** For the plot: block times, measured and fitted outlet, fitted core. */
  readonly trace: readonly {
    readonly atSeconds: number;
    readonly outletCelsius: number | null;
    readonly fittedOutletCelsius: number;
    readonly fittedCoreCelsius: number;
  }[];
};

export type FitResult =
  | { readonly kind: "fitted"; readonly fit: HeatRunFit }
  | { readonly kind: "refused"; readonly refusals: readonly Refusal[] };

const IDENTIFIED_BELOW = 0.8;
/** What a fit may leave over before the run itself is doubted. */
const LARGEST_RESIDUAL_KELVIN = 0.6;
const LARGEST_SPOT_MISS_KELVIN = 8;
/**
 * ρ after a run with core readings: what a lumped model leaves over (as drawn boxes needed it), and beside it what the readings left open
 * with a little to spare; the fan's stop adds what no reading has seen.
 */
const MODEL_RATIO = 0.031;
const READINGS_FACTOR = 1.25;
const FAN_OFF_RATIO = 0.035;
/** ρ after a run without a core reading. */
const OUTLET_ONLY_RATIO = { fanOn: 0.25, fanOff: 0.3 } as const;
/** Without a core reading the outlet is held loosely, so that a lumped model's faults cannot run into the core's conductance. */
const OUTLET_ONLY_WEIGHTS: FitWeights = { ...FIT_WEIGHTS, outletKelvin: 1.5 };

/** Fits `prior` to a heat run. `origin` names the run in the model. */
export function fitHeatRun(
  prior: Model,
  samples: readonly HeatRunSample[],
  solve: LeastSquaresSolver,
  origin: string,
  weights?: FitWeights,
): FitResult {
  const blocks = cutIntoBlocks(prior, samples);
  const refusals = refusalsOf(samples, blocks);
  if (refusals.length > 0) return { kind: "refused", refusals };
  const parameters = parametersFor(prior, blocks);
  const calibrated = blocks.spots.length > 0;
  const problem = heatRunProblem(
    prior,
    blocks,
    parameters,
    weights ?? (calibrated ? FIT_WEIGHTS : OUTLET_ONLY_WEIGHTS),
  );
  const z = solve(problem);
  const covariance = covarianceAt(problem, z);
  const sigma = covariance.map((row, index) => Math.sqrt(row[index]!));
  const physical = parameters.map((parameter, index) => ({ parameter, index })).filter(isPhysical);
  const quantities = physical.map(({ parameter, index }): FittedQuantity => {
    const left = Math.min(WIDENING * sigma[index]!, 1);
    return {
      name: parameter.kind === "constant" ? parameter.name : `kappa ${prior.bands[parameter.band]!.band}`,
      prior: Math.exp(parameter.prior),
      priorUncertaintyRatio: parameter.sigma,
      value: Math.exp(parameter.prior + parameter.sigma * z[index]!),
      uncertaintyRatio: parameter.sigma * left,
      movedBy: z[index]!,
      leftOfPrior: left,
      identified: left < IDENTIFIED_BELOW,
    };
  });
  const constants = { ...prior.constants };
  const bands = prior.bands.map((band) => ({ ...band }));
  // A run of temperatures gives ratios only: all watts and all heat capacities may be scaled together. The filter lives inside one
  // scale, so it needs κ's uncertainty with the core's heat capacity held; the absolute one stands among the quantities. It is not
  // widened: ρ, which the bound adds, carries what the Hessian leaves out.
  const scale = parameters.findIndex(
    (one) => one.kind === "constant" && one.name === "coreHeatCapacityJoulesPerKelvin",
  );
  const relativeKappa = (index: number): number => {
    const held = covariance[index]![index]! - covariance[index]![scale]! ** 2 / covariance[scale]![scale]!;
    return Math.min(Math.sqrt(Math.max(held, 0)), 1) * parameters[index]!.sigma;
  };
  physical.forEach(({ parameter, index }, at) => {
    const { value, uncertaintyRatio } = quantities[at]!;
    if (parameter.kind === "constant") constants[parameter.name] = { value, uncertaintyRatio };
    else bands[parameter.band] = { ...bands[parameter.band]!, kappa: value, kappaUncertainty: relativeKappa(index) };
  });
  const room = roomFor(blocks);
  simulate(prior, blocks, parameters, z, room);
  let squares = 0;
  let counted = 0;
  const trace = Array.from(room.outlet, (fittedOutletCelsius, at) => {
    const measured = blocks.outlet[at]!;
    const missing = Number.isNaN(measured);
    if (!missing) {
      squares += (measured - fittedOutletCelsius) ** 2;
      counted++;
    }
    return {
      atSeconds: (at + 0.5) * BLOCK_SECONDS,
      outletCelsius: missing ? null : measured,
      fittedOutletCelsius,
      fittedCoreCelsius: (room.core[at]! + room.core[at + 1]!) / 2,
    };
  });
  const spots = blocks.spots.map((spot) => ({ ...spot, fittedCelsius: coreAt(room.core, spot.atSeconds) }));
  const outletResidualKelvin = Math.sqrt(squares / Math.max(counted, 1));
  const misfit = misfitOf(outletResidualKelvin, spots);
  const fanOn = Math.hypot(MODEL_RATIO, READINGS_FACTOR * riseUncertaintyOf(prior, blocks, parameters, z, covariance));
  if (misfit !== null) return { kind: "refused", refusals: [misfit] };
  return {
    kind: "fitted",
    fit: {
      model: {
        ...prior,
        calibration: calibrated ? "calibrated" : "not calibrated",
        origin,
        constants,
        bands,
        riseUncertaintyRatio: calibrated ? { fanOn, fanOff: Math.hypot(fanOn, FAN_OFF_RATIO) } : OUTLET_ONLY_RATIO,
      },
      quantities,
      correlation: physical.map(({ index: i }) =>
        physical.map(({ index: j }) => covariance[i]![j]! / (sigma[i]! * sigma[j]!)),
      ),
      outletResidualKelvin,
      spots,
      trace,
    },
  };
}

/** A run that no set of constants explains teaches the wrong ones. */
function misfitOf(outletResidualKelvin: number, spots: HeatRunFit["spots"]): Refusal | null {
  if (outletResidualKelvin > LARGEST_RESIDUAL_KELVIN) {
    const text = `outlet differs from every fit by ${outletResidualKelvin.toFixed(2)} K rms, expected at most ${LARGEST_RESIDUAL_KELVIN} K: was the drive as recorded, the box closed, the core below its Curie point?`;
    return { code: "NOT_EXPLAINED", text };
  }
  for (const { atSeconds, celsius, fittedCelsius } of spots) {
    if (Math.abs(celsius - fittedCelsius) > LARGEST_SPOT_MISS_KELVIN) {
      const text = `core reading of ${celsius.toFixed(1)} °C at ${atSeconds.toFixed(0)} s is ${(celsius - fittedCelsius).toFixed(1)} K from the fit, expected at most ${LARGEST_SPOT_MISS_KELVIN} K: check its time and where it was taken`;
      return { code: "NOT_EXPLAINED", text };
    }
  }
  return null;
}

function isPhysical(entry: { parameter: Parameter; index: number }): entry is {
  parameter: Exclude<Parameter, { kind: "initial" }>;
  index: number;
} {
  return entry.parameter.kind !== "initial";
}
