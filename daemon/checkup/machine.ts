// The machine around the feedpoint: disk, clock, database, the settings' own warnings. It changes nothing but one probe file.

import { existsSync, statfsSync, unlinkSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import type { Clock } from "../../hardware/ports.ts";
import type { ReadConfig } from "../config/parse.ts";
import { fileTrouble } from "../config/text-file.ts";
import type { Program } from "../core/step.ts";
import { type Finding, wellDone } from "./finding.ts";

/** Was the config written for this program, or for an older one? */
export function checkForm({ placeOf, changes }: ReadConfig): Finding {
  const place = placeOf([]);
  if (changes.length === 0) return wellDone("config", place, "every key is known and fits");
  const says = `of an older version, read as if ${changes.join("; ")}`;
  const remedy = `\`sudo emberwire config upgrade --config ${place}\` writes it so and keeps the old one.`;
  return { what: "config", place, verdict: "warning", says, remedy };
}

const DISK_REMEDIES: Readonly<Record<string, string>> = {
  ENOSPC: "Make room, or set log.keep and log.most_megabytes lower",
  EROFS:
    "Remount it for writing; a card that turned read-only by itself is worn out: copy what is on it, and replace it",
  ENOENT: "Make the folder, or set log.folder",
  EACCES: "Run the check with sudo; if it stays, let the daemon's user write there, or set log.folder",
};

/** Why a file cannot be written there; null when it can. Of a folder that is missing, why it could not be made where that is known. */
function refusal(folder: string): Error | null {
  const probe = join(folder, `.probe-${process.pid}`);
  try {
    writeFileSync(probe, "probe\n", { flag: "wx" });
    unlinkSync(probe);
    return null;
  } catch (error) {
    if (!(error instanceof Error)) throw error;
    const above = dirname(folder);
    return existsSync(folder) || above === folder ? error : (refusal(above) ?? error);
  }
}

/** Can the folder be written, and how much room is there? */
export function checkDisk(folder: string, leastFreeRatio: number): Finding {
  const what = "disk";
  const error = refusal(folder);
  if (error !== null) {
    const code = "code" in error ? String(error.code) : "";
    const remedy = `${DISK_REMEDIES[code] ?? `Let the daemon's user write ${folder}, or set log.folder`}. Until then nothing is logged.`;
    return { what, place: folder, verdict: "bad", says: `it cannot be written: ${fileTrouble(folder, error)}`, remedy };
  }
  const { bavail, blocks, bsize } = statfsSync(folder);
  const freeRatio = blocks > 0 ? bavail / blocks : 1;
  const says = `${((bavail * bsize) / 1e9).toFixed(1)} GB free, ${(100 * freeRatio).toFixed(0)} %`;
  if (freeRatio >= leastFreeRatio) return wellDone(what, folder, says);
  return {
    what,
    place: folder,
    verdict: "warning",
    says,
    remedy: "Make room, or set log.keep and log.most_megabytes lower.",
  };
}

/** Is the wall clock one that rows may be dated by? */
export function checkClock(clock: Clock): Finding {
  const shown = new Date(clock.wallSeconds() * 1000).toISOString();
  if (clock.wallIsTrusted()) return wellDone("clock", "system", `synchronised since boot: ${shown}`);
  const remedy =
    "With a network `sudo timedatectl set-ntp true` starts it, and `timedatectl` shows when the time is there. Until then rows are marked as " +
    "not trusted; protection does not need it.";
  return { what: "clock", place: "system", verdict: "warning", says: `not synchronised since boot: ${shown}`, remedy };
}

/** Is the database's binding there? Without it there is no log. */
export async function checkDatabase(): Promise<Finding> {
  try {
    const { default: Database } = await import("better-sqlite3");
    new Database(":memory:").close();
    return wellDone("database", "better-sqlite3", "the binding works");
  } catch (error) {
    const says = (error instanceof Error ? error.message : String(error)).split("\n", 1)[0] ?? "";
    return { what: "database", place: "better-sqlite3", verdict: "bad", says, remedy: "npm rebuild better-sqlite3" };
  }
}

/** What the settings allow but had better not. */
export function checkSettingsAdvice({ warnings }: Program): readonly Finding[] {
  return warnings.map((says) => ({
    what: "settings",
    place: "config",
    verdict: "warning",
    says,
    remedy: "Look at [limits], [fan] and [station] in the config.",
  }));
}
