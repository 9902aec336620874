// The one place where an outcome becomes an exit status and lines on standard error: 0 done, 1 bad news, 2 the request was wrong.

import { CommanderError } from "commander";
import { describeProblem, RequestError } from "./config/problem.ts";

const DONE = 0;
export const BAD_NEWS = 1;
const WRONG_REQUEST = 2;

/** Bad news that is no fault of the request: one line each, said to the operator as they are. */
export class BadNews extends Error {
  readonly lines: readonly string[];

  constructor(lines: readonly string[]) {
    super(lines.join("\n"));
    this.name = "BadNews";
    this.lines = lines;
  }
}

/** The lines to say and the status to end with; an error nobody foresaw shows where it came from. */
export function verdictOn(error: unknown): { readonly status: number; readonly lines: readonly string[] } {
  if (error instanceof RequestError) {
    return { status: WRONG_REQUEST, lines: error.problems.map((problem) => `emberwire: ${describeProblem(problem)}`) };
  }
  if (error instanceof BadNews) return { status: BAD_NEWS, lines: error.lines.map((line) => `emberwire: ${line}`) };
  if (error instanceof CommanderError) {
    // Help and version are answers; everything else was said by the parser already.
    return { status: error.exitCode === 0 ? DONE : WRONG_REQUEST, lines: [] };
  }
  const said = error instanceof Error ? (error.stack ?? error.message) : String(error);
  return { status: BAD_NEWS, lines: [`emberwire: ${said}`] };
}
