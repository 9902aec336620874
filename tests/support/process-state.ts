// The state of a process as the kernel tells it.

import { readFileSync } from "node:fs";

/** State letter of a process (proc(5)): T is stopped. */
export const letterOf = (pid: number): string =>
  readFileSync(`/proc/${pid}/stat`, "utf8")
    .replace(/^.*\) /, "")
    .slice(0, 1);
