// The least-squares search for heat runs: the Levenberg–Marquardt library wrapped for residual vectors.
// It knows nothing of heat; what to minimise comes from the core.

import { levenbergMarquardt } from "ml-levenberg-marquardt";
import type { LeastSquaresProblem } from "../../core/estimate/identify.ts";

const ITERATIONS_A_ROUND = 5;
const ROUNDS = 8;
/** A round that lowers the sum of squares by less than this share is the last. */
const SETTLED = 1e-4;
const DIFFERENCE = 1e-3;
/** Parameters come in units of their prior's deviation; nothing honest lies beyond. */
const FARTHEST = 5;

/** Minimises the sum of squared residuals from the problem's beginning. */
export function solveLeastSquares(problem: LeastSquaresProblem): readonly number[] {
  const x = Array.from({ length: problem.count }, (_, index) => index);
  const y = new Float64Array(problem.count);
  let at: readonly number[] = problem.initial;
  let error = Number.POSITIVE_INFINITY;
  for (let round = 0; round < ROUNDS; round++) {
    const found = levenbergMarquardt(
      { x, y },
      (z) => {
        const residuals = problem.residuals(z);
        return (index) => residuals[index]!;
      },
      {
        initialValues: Array.from(at),
        maxIterations: ITERATIONS_A_ROUND,
        gradientDifference: DIFFERENCE,
        damping: 0.1,
        minValues: at.map(() => -FARTHEST),
        maxValues: at.map(() => FARTHEST),
        errorTolerance: 1e-9,
      },
    );
    at = found.parameterValues;
    if (found.parameterError > error * (1 - SETTLED)) break;
    error = found.parameterError;
  }
  return at;
}
