// What a purged package left behind in a clean root: files and accounts.

import { readFile } from "node:fs/promises";
import { join } from "node:path";
import type { CleanRoot } from "./clean-root.ts";

/** What dpkg and apt keep of their own, the manual pages' index, and what a test brought. */
const OTHERS =
  /^(root|tmp|proc|dev|var\/(lib\/(dpkg|apt|systemd)|cache|log))(\/|$)|^(etc\/(passwd|group|g?shadow|subuid|subgid)-?|etc\/\.pwd\.lock)$/;

/** Files that were not there `before`, and account files that name the daemon. */
export async function tracesIn(root: CleanRoot, before: ReadonlySet<string>): Promise<readonly string[]> {
  const left = [...(await root.files())].filter((path) => !before.has(path) && !OTHERS.test(path));
  for (const name of ["etc/passwd", "etc/group", "etc/shadow"])
    if ((await readFile(join(root.folder, name), "utf8")).includes("emberwire")) left.push(name);
  return left;
}
