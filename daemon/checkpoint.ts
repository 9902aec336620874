// The text of a checkpoint → what the program remembers. A spoilt one is forgotten, one of a newer program is refused.

import { RequestError } from "./config/problem.ts";
import { NEWER } from "./config/version.ts";
import { type Checkpoint, newerVersion, parseCheckpoint } from "./core/protect/checkpoint.ts";

/**
 * Null where there is none, or none that can be read. `file` is where it was kept.
 * @throws RequestError for one of a newer program: a trip that it tells of would be forgotten
 */
export function readCheckpoint(text: string | null, file: string): Checkpoint | null {
  if (text === null) return null;
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    // A disk may return anything; the program then begins without what it remembered, which is the safe side.
    return null;
  }
  const newer = newerVersion(value);
  if (newer === null) return parseCheckpoint(value);
  const expected = `one of an older version; ${NEWER}`;
  throw new RequestError([{ what: "checkpoint", where: file, expected, got: `version ${newer}` }]);
}
