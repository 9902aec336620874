// Every call into the simulated board passes here: it is counted, and may be made to fail like a call of the system.
// It never decides what an error means.

import { constants } from "node:os";
import type { FaultScript } from "./faults.ts";

/** An error as Node and its native addons make them: `code`, `errno` and `syscall`. */
export function systemError(code: string, syscall: string): Error {
  const errno = (constants.errno as Record<string, number>)[code];
  const detail = { code, syscall, ...(errno === undefined ? {} : { errno }) };
  return Object.assign(new Error(`${code}: simulated, ${syscall}`), detail);
}

/** The count of calls, and the script's `calls fail`. */
export class CallGate {
  readonly #faults: FaultScript;
  #count = 0;

  constructor(faults: FaultScript) {
    this.#faults = faults;
  }

  /** Calls so far. */
  get count(): number {
    return this.#count;
  }

  /** Counts one call; throws when the script says that this one fails. */
  pass(syscall: string): void {
    this.#count += 1;
    const number = this.#count;
    const failing = this.#faults.find(
      "calls fail",
      (fault) => number >= fault.first && number < fault.first + fault.count,
    );
    if (failing !== null) throw systemError(failing.errno, syscall);
  }
}
