// The release lines of Node that the program runs on: `engines` of package.json says from which version of each, and there is one
// version of each whose addons are in the package.

import { NODE_VERSIONS } from "./node-headers.ts";

/** One release line; within it the binary interface stays. */
export type NodeLine = { readonly major: number; readonly oldest: string; readonly newest: string };

/**
 * The lines of `engines`, as in `^20.19.0 || ^22.13.0`, oldest first.
 * @throws Error when it is written otherwise, or names other lines than there are addons for
 */
export function nodeLines(engines: string): readonly NodeLine[] {
  const oldest = engines.split("||").map((range) => /^\^(\d+\.\d+\.\d+)$/.exec(range.trim())?.[1]);
  const majors = oldest.map((version) => Number.parseInt(version ?? "", 10));
  const known = NODE_VERSIONS.map((version) => Number.parseInt(version, 10));
  if (majors.join() !== known.join()) {
    const expected = `^MAJOR.MINOR.PATCH of ${known.join(", ")} with || between`;
    throw new Error(`package.json, engines.node: expected ${expected}, got ${engines}`);
  }
  return majors.map((major, index) => ({ major, oldest: oldest[index]!, newest: NODE_VERSIONS[index]! }));
}
