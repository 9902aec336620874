// The problem lines with which a use of a config is refused, to be looked at one by one.

import { type Problem, RequestError } from "../../daemon/config/problem.ts";

/** None when it is not refused; any other error goes on. */
export function problemsOf(use: () => unknown): readonly Problem[] {
  try {
    use();
  } catch (error) {
    if (error instanceof RequestError) return error.problems;
    throw error;
  }
  return [];
}
