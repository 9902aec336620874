// A config on its way to the disk: whole or not at all, and what stood there before kept beside it. What is in it is not its
// business; it never writes unless a person asked.

import {
  chownSync,
  closeSync,
  copyFileSync,
  fsyncSync,
  openSync,
  realpathSync,
  renameSync,
  rmSync,
  type Stats,
  statSync,
  writeFileSync,
} from "node:fs";
import { dirname } from "node:path";
import { RequestError } from "./problem.ts";
import { fileTrouble } from "./text-file.ts";

/** The daemon's group reads it, nobody else: it names hosts, users and places. */
const MODE = 0o640;

/**
 * Writes beside, forces it to the disk, then renames; through a link to the file behind it. Owner and mode stay those of the file
 * that stood there, or follow its folder. Resolves to where the old one was kept (`FILE.tail`), null when there was none.
 * @throws RequestError when it cannot be written
 */
export function writeConfigFile(file: string, text: string, tail: string): string | null {
  const standing = statSync(file, { throwIfNoEntry: false });
  const into = standing === undefined ? file : realpathSync(file);
  const beside = `${into}.${process.pid}.part`;
  try {
    const like = standing ?? statSync(dirname(into));
    const kept = standing === undefined ? null : `${into}.${tail}`;
    if (kept !== null) {
      copyFileSync(into, kept);
      own(kept, like);
      force(kept);
    }
    writeFileSync(beside, text, { flag: "wx", mode: standing === undefined ? MODE : standing.mode & 0o777 });
    own(beside, like);
    force(beside);
    renameSync(beside, into);
    force(dirname(into));
    return kept;
  } catch (error) {
    rmSync(beside, { force: true });
    const got = fileTrouble(file, error);
    throw new RequestError([{ what: "--config", where: "command line", expected: "a file that can be written", got }]);
  }
}

/** Only root may give a file away; anybody else's is their own already. */
function own(file: string, { uid, gid }: Stats): void {
  if (process.getuid?.() === 0) chownSync(file, uid, gid);
}

function force(path: string): void {
  const descriptor = openSync(path, "r");
  fsyncSync(descriptor);
  closeSync(descriptor);
}
