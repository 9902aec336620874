// Who opens the hardware takes it from a daemon that runs: its log's lock tells.

import { BadNews } from "../exit.ts";

/** `file` is the daemon's log. @throws BadNews while a daemon has it */
export async function refuseBesideDaemon(file: string): Promise<void> {
  const lock = await import("../season/lock.ts").catch(() => null);
  if (lock?.isInUse(file) !== true) return;
  throw new BadNews([
    `${file} is in use: emberwire is running and holds the hardware. Its page shows the same; stop it to look here.`,
  ]);
}
