// skeleton
import type { Board, LineSpec, Tachometer } from "./ports.ts";

export type EdgeAnalysis = {
  /** Null when the pulses make no speed. */
  readonly rpm: number | null;
  readonly regularity: number | null;
  readonly rejectedEdges: number;
};

/** Speed and regularity from event times in monotonic seconds, ascending. */
export function analyseEdges(_times: readonly number[], _pulsesPerRevolution: number): EdgeAnalysis {
  throw new Error("to be filled in");
}

export type TachometerSpec = { readonly line: LineSpec; readonly pulsesPerRevolution: number };

export function openTachometer(_spec: TachometerSpec, _board: Board): Promise<Tachometer & { close(): Promise<void> }> {
  throw new Error("to be filled in");
}
