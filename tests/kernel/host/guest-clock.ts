// Translates instants of the host's clock into the guest's monotonic clock, with the uncertainty of doing so.
// An emulator's guest has a clock of its own; a latency that is demanded in guest time is measured in guest time.

import type { GuestShell } from "./guest-shell.ts";

/** The kernel prints its uptime in hundredths of a second. */
const UPTIME_RESOLUTION_SECONDS = 0.01;
const SAMPLES = 8;

type Fix = { readonly hostMs: number; readonly guestSeconds: number; readonly uncertaintySeconds: number };

/** The best of a few looks: the guest read its clock somewhere within the round trip, so the shortest trip says most. */
async function fix(shell: GuestShell): Promise<Fix> {
  let best: Fix | null = null;
  for (let sample = 0; sample < SAMPLES; sample += 1) {
    const before = performance.now();
    const output = await shell.run("read up idle < /proc/uptime; echo $up");
    const after = performance.now();
    const uncertaintySeconds = (after - before) / 2000 + UPTIME_RESOLUTION_SECONDS;
    if (best === null || uncertaintySeconds < best.uncertaintySeconds) {
      best = { hostMs: (before + after) / 2, guestSeconds: Number(output), uncertaintySeconds };
    }
  }
  if (best === null || !Number.isFinite(best.guestSeconds)) throw new Error("the guest gave no uptime");
  return best;
}

/** A stretch of time between two fixes, within which instants can be translated. */
export type GuestTime = {
  /** Guest seconds per host second over the stretch. */
  readonly pace: number;
  readonly uncertaintySeconds: number;
  readonly at: (hostMs: number) => number;
};

/** Takes a fix now and returns what takes the second one. */
export async function beginGuestTime(shell: GuestShell): Promise<() => Promise<GuestTime>> {
  const first = await fix(shell);
  return async () => {
    const second = await fix(shell);
    const pace = ((second.guestSeconds - first.guestSeconds) * 1000) / (second.hostMs - first.hostMs);
    return {
      pace,
      uncertaintySeconds: Math.max(first.uncertaintySeconds, second.uncertaintySeconds),
      at: (hostMs) => first.guestSeconds + ((hostMs - first.hostMs) / 1000) * pace,
    };
  };
}
