// The two kinds of arithmetic of a running heat run, for the short-lived worker: how far the quantities have come, and the fit.
// Pure but for the search that is passed in; it knows no stage.

import { type FitResult, fitHeatRun } from "../core/estimate/fit.ts";
import { heatRunProblem, type LeastSquaresSolver, parametersFor } from "../core/estimate/identify.ts";
import type { Model } from "../core/estimate/model.ts";
import { cutIntoBlocks, type HeatRunSample } from "../core/estimate/recording.ts";

/** What a worker is started with. */
export type HeatRunJob = {
  readonly kind: "progress" | "fit";
  readonly prior: Model;
  readonly samples: readonly HeatRunSample[];
  readonly origin: string;
};

/** Where one quantity stands; `moved` counts in its prior's standard uncertainties. */
export type Standing = { readonly name: string; readonly value: number; readonly moved: number };

export type HeatRunAnswer =
  | { readonly kind: "progress"; readonly standings: readonly Standing[] }
  | { readonly kind: "fit"; readonly result: FitResult };

/** Quantities that a key-down with the fan on speaks about. */
const WATCHED: ReadonlySet<string> = new Set([
  "coreToAirWattsPerKelvin",
  "airHeatFlowWattsPerKelvin",
  "airToWallWattsPerKelvin",
  "outletLagSeconds",
]);

/** Does the job. */
export function answerJob({ kind, prior, samples, origin }: HeatRunJob, solve: LeastSquaresSolver): HeatRunAnswer {
  if (kind === "fit") return { kind, result: fitHeatRun(prior, samples, solve, origin) };
  const blocks = cutIntoBlocks(prior, samples);
  const parameters = parametersFor(prior, blocks);
  const z = solve(heatRunProblem(prior, blocks, parameters));
  const standings = parameters.flatMap((parameter, index): Standing[] => {
    const moved = z[index] ?? 0;
    const value = Math.exp(parameter.prior + parameter.sigma * moved);
    if (parameter.kind === "kappa") return [{ name: `kappa ${prior.bands[parameter.band]?.band ?? ""}`, value, moved }];
    if (parameter.kind === "constant" && WATCHED.has(parameter.name)) return [{ name: parameter.name, value, moved }];
    return [];
  });
  return { kind, standings };
}
