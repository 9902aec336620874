// The guest's monotonic clock as the host can know it. An emulator's guest has a clock of its own, and a latency that is
// demanded in guest time is measured in guest time: the host sees instants, and this says how far apart they were in there.

import type { GuestShell } from "./guest-shell.ts";

/** The kernel prints its uptime in hundredths of a second. */
const UPTIME_RESOLUTION_SECONDS = 0.01;
const SAMPLES = 12;

type Fix = { readonly hostMs: number; readonly guestSeconds: number; readonly uncertaintySeconds: number };

/** The best of a few looks: the guest read its clock somewhere within the round trip, so the shortest trip says most. */
async function look(shell: GuestShell): Promise<Fix> {
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

/** Guest time over a stretch; `pace` is guest seconds per host second, with what it may be wrong by. */
export type GuestTime = {
  readonly pace: number;
  readonly paceUncertainty: number;
  /** Guest seconds between two instants of the host. */
  readonly between: (fromHostMs: number, toHostMs: number) => number;
};

/** Two looks at the guest's clock, far apart. */
export class GuestClock {
  private readonly shell: GuestShell;
  private readonly first: Fix;

  private constructor(shell: GuestShell, first: Fix) {
    this.shell = shell;
    this.first = first;
  }

  static async begin(shell: GuestShell): Promise<GuestClock> {
    return new GuestClock(shell, await look(shell));
  }

  /** What went by in the guest since the beginning; the longer ago, the surer. */
  async time(): Promise<GuestTime> {
    const last = await look(this.shell);
    const hostSeconds = (last.hostMs - this.first.hostMs) / 1000;
    const pace = (last.guestSeconds - this.first.guestSeconds) / hostSeconds;
    return {
      pace,
      paceUncertainty: (last.uncertaintySeconds + this.first.uncertaintySeconds) / hostSeconds,
      between: (fromHostMs, toHostMs) => ((toHostMs - fromHostMs) / 1000) * pace,
    };
  }
}
