// skeleton
import type { HardwareErrorCode } from "./errors.ts";
import type { Board, Hardware, HardwareSpec } from "./ports.ts";

/** One thing that is wrong with one part. */
export type OpenFault = {
  /** The part's name in the feedpoint: a sensor's name, `tachometer`, `supply`, `drive`, `relay`. */
  readonly name: string;
  readonly place: string;
  readonly code: HardwareErrorCode;
  /** `fatal`: the daemon must not run so. `degraded`: it runs, the part reads bad until it answers. */
  readonly severity: "fatal" | "degraded";
  /** One line: place, what is wrong, detail. */
  readonly message: string;
  /** One sentence: what to do about it. */
  readonly remedy: string;
};

/** Everything opened, good or not, with everything that is wrong. `run` goes on only when `fit`; `check` shows all. */
export type OpenResult = {
  /** Complete also when parts failed: those reject on every call with their code. Close it in any case. */
  readonly hardware: Hardware;
  /** What each part that answered said of itself. */
  readonly identities: readonly { readonly name: string; readonly place: string; readonly identity: string }[];
  readonly faults: readonly OpenFault[];
  /** False when a fault is fatal. */
  readonly fit: boolean;
};

/** Opens and identifies every part of `spec` on `board`, reporting every fault, not only the first. */
export function openHardware(_spec: HardwareSpec, _board: Board): Promise<OpenResult> {
  throw new Error("to be filled in");
}
