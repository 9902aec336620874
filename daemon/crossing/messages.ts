// What crosses between the heartbeat thread and the service thread: plain data, types only.
// One parcel is under way at a time; the receipt gives the next one credit, so a blocked service thread piles up nothing.

import type { Problem } from "../config/problem.ts";
import type { Answer, Command } from "../core/commands.ts";
import type { Outlook, PermitLines, RecordEntry } from "../core/effects.ts";
import type { RigWord } from "../station/rig.ts";
import type { HardwareHealth } from "../wire/check.ts";

/** One cycle that came to a decision; `number` counts from 1 within a run of the daemon. */
export type Beat = {
  readonly number: number;
  readonly wallSeconds: number;
  readonly wallTrusted: boolean;
  readonly outlook: Outlook;
  /** What the lines were told last. */
  readonly permits: PermitLines;
  /** The lines took what was decided; else they refused, the cycle failed, and both were told to release. */
  readonly driven: boolean;
  /** From reading the first part to the relay being driven, s of the machine's clock. */
  readonly cycleSeconds: number;
};

/** An entry of the record with its place in this run and the wall time it was made at. */
export type NumberedEntry = RecordEntry & {
  readonly number: number;
  readonly wallSeconds: number;
  readonly wallTrusted: boolean;
};

/** What one cycle made; `beat` is null when it came to no decision. */
export type Publication = {
  readonly beat: Beat | null;
  readonly entries: readonly NumberedEntry[];
  readonly checkpoint: string | null;
  readonly answers: readonly Answer[];
};

/** Heartbeat → service. */
export type Parcel = {
  readonly kind: "parcel";
  readonly number: number;
  /** The newest beat when there is one that the service has not seen. */
  readonly newest: Beat | null;
  /** Beats for the log, oldest first. */
  readonly rows: readonly Beat[];
  /** Entries for the record, oldest first. */
  readonly entries: readonly NumberedEntry[];
  /** What to keep for the next start, as JSON text; it means something to the heartbeat only. */
  readonly checkpoint: string | null;
  /** What became of commands since the last parcel. */
  readonly answers: readonly Answer[];
  /** The newest health of the hardware since the last parcel; null when none came. */
  readonly health: HardwareHealth | null;
};

export type ToService = Parcel | { readonly kind: "stop" };

/** How far the log has come, by beat and entry number of this run. */
export type LogProgress = {
  /** Asked for nothing up to here. */
  readonly acceptedRow: number;
  readonly acceptedEntry: number;
  /** On the disk up to here. */
  readonly persistedRow: number;
  readonly persistedEntry: number;
  readonly writable: boolean;
  /** Why the log does not take anything; null while it does. */
  readonly trouble: string | null;
  readonly diskFreeRatio: number | null;
};

/** What the last run left to begin from, as JSON text; `trouble`: something was left, and why nobody can read it. */
export type LeftBehind = { readonly text: string | null; readonly trouble: string | null };

/** What a simulated shack does for a heat run; nobody keys a real one. */
export type Rehearsal = {
  /** W; null = as it likes. */
  readonly watts: number | null;
  /** False = its fan is switched off. */
  readonly fanTurns: boolean;
};

/** Service → heartbeat. */
export type ToHeartbeat =
  | { readonly kind: "ready"; readonly address: string; readonly left: LeftBehind; readonly log: LogProgress }
  | { readonly kind: "refused"; readonly problem: Problem }
  | { readonly kind: "receipt"; readonly number: number; readonly log: LogProgress }
  | { readonly kind: "rehearse"; readonly rehearsal: Rehearsal }
  | { readonly kind: "commands"; readonly commands: readonly Command[] }
  /** What the shack's rig said last. */
  | { readonly kind: "rig"; readonly word: RigWord }
  /** An entry for the record about the service's own work; `by` is null where no person or program did it. */
  | { readonly kind: "note"; readonly tag: string; readonly text: string; readonly by: string | null }
  | { readonly kind: "stopped" };
