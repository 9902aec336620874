// A fan as the tach line sees it: a square wave at a frequency, made pulse by pulse from the host's clock. A pulse for which this
// process comes too late is left out: a train with gaps is a fan whose edges get lost, one that catches up turns faster.

import { setImmediate as turn } from "node:timers/promises";
import type { Qtest } from "./qtest.ts";

/** What was really sent: `count` pulses at whole periods of `hertz`. */
export type Pulses = {
  readonly count: number;
  readonly hertz: number;
  /** How late the latest edge left the host. */
  readonly worstLatenessMs: number;
  readonly lastEdgeHostMs: number;
  /** Instants of the last falling edges, at most `MOST_FALLS`. */
  readonly fallsHostMs: readonly number[];
};

const MOST_FALLS = 10_000;

/** A thread that only waits: nobody ever wakes it. */
const FUTEX = new Int32Array(new SharedArrayBuffer(4));

/** A pulse that would be later than this part of a period is left out. */
const MOST_LATENESS = 0.1;

/** The kernel wakes a waiting thread up to this much late, ms; the rest is waited for awake. */
const LATE_WAKE_MS = 0.3;

function waitUntil(hostMs: number): void {
  const asleepMs = hostMs - performance.now() - LATE_WAKE_MS;
  if (asleepMs > 0) Atomics.wait(FUTEX, 0, 0, asleepMs);
  while (performance.now() < hostMs);
}

export class Fan {
  private readonly qtest: Qtest;
  private readonly pin: number;
  private running: Promise<Pulses> | null = null;
  private stopping = false;

  constructor(qtest: Qtest, pin: number) {
    this.qtest = qtest;
    this.pin = pin;
    // Open collector with a pull-up: a resting fan leaves the line high.
    qtest.drive(pin, 1);
  }

  start(hertz: number): void {
    if (this.running !== null) throw new Error("the fan turns already");
    this.stopping = false;
    this.running = this.turn(hertz, () => !this.stopping);
    // Whoever stops the fan hears of a failure; until then it must not end the test run.
    this.running.catch(() => undefined);
  }

  /** Stops after the pulse under way; the line rests high. */
  async stop(): Promise<Pulses> {
    const running = this.running;
    if (running === null) throw new Error("the fan does not turn");
    this.stopping = true;
    this.running = null;
    return await running;
  }

  /** Turns for so many periods, then rests. */
  async pulse(periods: number, hertz: number): Promise<Pulses> {
    if (this.running !== null) throw new Error("the fan turns already");
    return await this.turn(hertz, (period) => period < periods);
  }

  /** Stops if it turns, whatever went wrong with it. */
  async halt(): Promise<void> {
    if (this.running !== null) await this.stop().catch(() => undefined);
  }

  private async turn(hertz: number, goesOn: (period: number) => boolean): Promise<Pulses> {
    const periodMs = 1000 / hertz;
    const start = performance.now() + periodMs;
    const falls: number[] = [];
    let [count, worstLatenessMs] = [0, 0];
    for (let period = 0; goesOn(period); period += 1) {
      const dueMs = start + period * periodMs;
      await turn();
      waitUntil(dueMs);
      const now = performance.now();
      if (now - dueMs > MOST_LATENESS * periodMs) continue;
      this.qtest.drive(this.pin, 0);
      count += 1;
      falls.push(now);
      if (falls.length > MOST_FALLS) falls.shift();
      worstLatenessMs = Math.max(worstLatenessMs, now - dueMs);
      await turn();
      waitUntil(now + periodMs / 2);
      this.qtest.drive(this.pin, 1);
    }
    return { count, hertz, worstLatenessMs, lastEdgeHostMs: falls.at(-1) ?? start, fallsHostMs: falls };
  }
}
