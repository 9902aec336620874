// A thread that does nothing but notice how late this machine wakes a thread that does nothing: the floor under any lateness.

import { parentPort } from "node:worker_threads";

const TICK_SECONDS = 0.01;
const second = (): number => Number(process.hrtime.bigint()) / 1e9;

/** Monotonic second at which a tick was due, and how late it came. */
export type Tick = { readonly dueSeconds: number; readonly lateSeconds: number };

const late: Tick[] = [];
let due = second() + TICK_SECONDS;

function tick(): void {
  const now = second();
  late.push({ dueSeconds: due, lateSeconds: now - due });
  due = Math.max(due + TICK_SECONDS, now);
  setTimeout(tick, (due - second()) * 1000);
}

parentPort?.on("message", () => {
  parentPort?.postMessage(late);
  process.exit(0);
});
setTimeout(tick, TICK_SECONDS * 1000);
