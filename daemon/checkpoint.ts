// What the last run left → what the program remembers. One of a newer program is refused; where something was left and cannot be
// read, a trip may stand, and so the program begins as after one.

import { RequestError } from "./config/problem.ts";
import { NEWER } from "./config/version.ts";
import { type Checkpoint, newerVersion, parseCheckpoint, UNREADABLE_CHECKPOINT } from "./core/protect/checkpoint.ts";
import type { LeftBehind } from "./crossing/messages.ts";

/** `unreadable` says why the trip of the last run is not known; null where all is well, or where nothing was left. */
export type Remembered = { readonly checkpoint: Checkpoint | null; readonly unreadable: string | null };

/**
 * `file` is where it was kept.
 * @throws RequestError for one of a newer program: a trip that it tells of would be forgotten
 */
export function readCheckpoint({ text, trouble }: LeftBehind, file: string): Remembered {
  if (trouble !== null) return unreadable(trouble);
  if (text === null) return { checkpoint: null, unreadable: null };
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    return unreadable("the checkpoint is no JSON");
  }
  const newer = newerVersion(value);
  if (newer !== null) {
    const expected = `one of an older version; ${NEWER}`;
    throw new RequestError([{ what: "checkpoint", where: file, expected, got: `version ${newer}` }]);
  }
  const checkpoint = parseCheckpoint(value);
  return checkpoint === null ? unreadable("the checkpoint is spoilt") : { checkpoint, unreadable: null };
}

const unreadable = (why: string): Remembered => ({ checkpoint: UNREADABLE_CHECKPOINT, unreadable: why });
