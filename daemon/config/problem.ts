// Something the operator asked for that cannot be done: what, where, expected, got. Exit status 2 and one line each.

/** One wrong thing in a config, recording, flag or request. */
export type Problem = {
  /** The key, flag or column, e.g. `limits.core`. */
  readonly what: string;
  /** File and line, or `command line`. */
  readonly where: string;
  readonly expected: string;
  readonly got: string;
};

/** The one line an operator reads. */
export function describeProblem(problem: Problem): string {
  return `${problem.where}: ${problem.what}: expected ${problem.expected}, got ${problem.got}`;
}

/** Carries every problem found, never only the first. */
export class RequestError extends Error {
  readonly problems: readonly Problem[];

  constructor(problems: readonly Problem[]) {
    super(problems.map(describeProblem).join("\n"));
    this.name = "RequestError";
    this.problems = problems;
  }
}
