// The whole program as one function: what was read and asked in, what is believed and wanted out.
// It composes estimate, fan health, alarms and power stages; it reads no clock and touches nothing.

import type { Command } from "./commands.ts";
import type { Effects } from "./effects.ts";
import type { EstimatorState } from "./estimate/estimator.ts";
import type { Checkpoint } from "./protect/checkpoint.ts";
import type { Program } from "./protect/program.ts";
import type { Readings } from "./readings.ts";

export type { Checkpoint } from "./protect/checkpoint.ts";
export { defineProgram, type Program } from "./protect/program.ts";

/** Everything the program remembers between cycles. Opaque to callers: use the outlook and `checkpointState`. */
export type State = {
  readonly atSeconds: number;
  readonly estimator: EstimatorState | null;
};

/** A state to begin from: both lines released until the first usable estimate. `nowSeconds` is monotonic. */
export function beginState(program: Program, checkpoint: Checkpoint | null, nowSeconds: number): State {
  throw new Error(`not composed yet: ${program.cycleSeconds} ${checkpoint?.version} ${nowSeconds}`);
}

/** One cycle. Pure: `state` is left as it was. `nowSeconds` is monotonic and belongs to the readings. */
export function step(
  program: Program,
  state: State,
  readings: Readings,
  commands: readonly Command[],
  nowSeconds: number,
): { readonly state: State; readonly effects: Effects } {
  throw new Error(
    `not composed yet: ${program.cycleSeconds} ${state.atSeconds} ${readings.inlet} ${commands.length} ${nowSeconds}`,
  );
}

/** What to keep on disk so that a restart forgets no trip, no alarm and no date: plain JSON. */
export function checkpointState(state: State, nowSeconds: number): Checkpoint {
  throw new Error(`not composed yet: ${state.atSeconds} ${nowSeconds}`);
}
