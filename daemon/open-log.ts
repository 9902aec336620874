// The season log opened for the service thread: the log, a trouble that the daemon can live with, or a problem with which it must
// not begin. It loads the database's binding, which may be missing.

import { statSync } from "node:fs";
import type { Clock } from "../hardware/ports.ts";
import type { Problem } from "./config/problem.ts";
import { NEWER } from "./config/version.ts";
import type { LeftBehind } from "./crossing/messages.ts";
import type { Progress, SeasonLog, SeasonLogOptions } from "./season/log.ts";

/** Without the binding the daemon runs without a log, and says so: `trouble`. */
export type OpenedLog = {
  readonly log: SeasonLog | null;
  readonly trouble: string | null;
  readonly problem: Problem | null;
};

/** @throws what nobody foresaw */
export async function openLog(options: SeasonLogOptions, clock: Clock): Promise<OpenedLog> {
  const lock = await import("./season/lock.ts").catch(() => null);
  if (lock === null) {
    const trouble = "the database's binding is not installed: npm rebuild better-sqlite3";
    return { log: null, trouble, problem: null };
  }
  const { SeasonLog } = await import("./season/log.ts");
  const { NewerSchema, SCHEMA_VERSION } = await import("./season/schema.ts");
  try {
    return { log: new SeasonLog(options, clock.monotonicSeconds()), trouble: null, problem: null };
  } catch (error) {
    if (error instanceof lock.FileInUse) {
      const expected = "a data folder of its own (is emberwire running already?)";
      const problem = { what: "log.folder", where: options.file, expected, got: error.message };
      return { log: null, trouble: null, problem };
    }
    if (!(error instanceof NewerSchema)) throw error;
    return { log: null, trouble: null, problem: newerLog("log.folder", options.file, error.version, SCHEMA_VERSION) };
  }
}

/** What the last run left in the log's file, also where the log itself cannot be opened. */
export function leftBehind(log: SeasonLog | null, file: string): LeftBehind {
  try {
    if (log !== null) return { text: log.checkpoint(), trouble: null };
    const size = statSync(file, { throwIfNoEntry: false })?.size ?? 0;
    return { text: null, trouble: size === 0 ? null : "the log cannot be opened" };
  } catch (error) {
    return { text: null, trouble: error instanceof Error ? error.message : String(error) };
  }
}

/** How far a log has come that is not there. */
export function noProgress(trouble: string | null): Progress {
  return {
    acceptedRow: 0,
    acceptedEntry: 0,
    persistedRow: 0,
    persistedEntry: 0,
    writable: false,
    trouble,
    diskFreeRatio: null,
  };
}

/** What to say of a log that a newer program wrote. */
export function newerLog(what: string, where: string, version: number, known: number): Problem {
  return { what, where, expected: `a log of schema ${known} or older; ${NEWER}`, got: `schema ${version}` };
}
