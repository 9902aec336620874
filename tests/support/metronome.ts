// A thread that does nothing but notice how late this machine wakes a thread that does nothing, and what the process's main thread has
// waited for a core so far: the floor under any lateness of that thread.

import { readFileSync } from "node:fs";
import { parentPort } from "node:worker_threads";

const TICK_SECONDS = 0.01;
const second = (): number => Number(process.hrtime.bigint()) / 1e9;

/** Monotonic second at which a tick was due, how late it came, and the main thread's wait for a core until then. */
export type Tick = { readonly dueSeconds: number; readonly lateSeconds: number; readonly queuedSeconds: number };

/** Time spent waiting on a runqueue, the second figure of the file, in ns (kernel, Documentation/scheduler/sched-stats). */
function queuedSeconds(): number {
  try {
    return Number(readFileSync(`/proc/${process.pid}/schedstat`, "utf8").split(" ")[1]) / 1e9;
  } catch {
    // A kernel without these figures: nothing is held to the machine's account then.
    return 0;
  }
}

const ticks: Tick[] = [];
let due = second() + TICK_SECONDS;

function tick(): void {
  const now = second();
  ticks.push({ dueSeconds: due, lateSeconds: now - due, queuedSeconds: queuedSeconds() });
  due = Math.max(due + TICK_SECONDS, now);
  setTimeout(tick, (due - second()) * 1000);
}

parentPort?.on("message", () => {
  parentPort?.postMessage(ticks);
  process.exit(0);
});
setTimeout(tick, TICK_SECONDS * 1000);
