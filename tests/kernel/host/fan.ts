// A fan as the tach line sees it: a square wave at a frequency, made pulse by pulse from the host's clock.

import { setImmediate as turn } from "node:timers/promises";
import type { Qtest } from "./qtest.ts";

/** What was really sent, to compare with what was asked for. */
export type Pulses = {
  readonly count: number;
  readonly hertz: number;
  /** How late the latest edge left the host. */
  readonly worstLatenessMs: number;
  readonly lastEdgeHostMs: number;
};

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
    this.running = this.turn(hertz);
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

  /**
   * Pulses for so many periods and then rest, with the instant of each falling edge. A pulse for which this process comes too
   * late is left out instead of sent at a wrong time: a train with gaps is a fan whose edges get lost, an uneven one is no fan.
   */
  async pulse(periods: number, hertz: number): Promise<Pulses & { readonly fallsHostMs: readonly number[] }> {
    if (this.running !== null) throw new Error("the fan turns already");
    const falls: number[] = [];
    const periodMs = 1000 / hertz;
    const start = performance.now() + periodMs;
    let worstLatenessMs = 0;
    for (let period = 0; period < periods; period += 1) {
      const dueMs = start + period * periodMs;
      await turn();
      waitUntil(dueMs);
      const now = performance.now();
      if (now - dueMs > MOST_LATENESS * periodMs) continue;
      this.qtest.drive(this.pin, 0);
      falls.push(now);
      worstLatenessMs = Math.max(worstLatenessMs, now - dueMs);
      await turn();
      waitUntil(now + periodMs / 2);
      this.qtest.drive(this.pin, 1);
    }
    return { count: falls.length, hertz, worstLatenessMs, lastEdgeHostMs: falls.at(-1) ?? start, fallsHostMs: falls };
  }

  /** Stops if it turns, whatever went wrong with it. */
  async halt(): Promise<void> {
    if (this.running !== null) await this.stop().catch(() => undefined);
  }

  /**
   * Timers of the event loop have a resolution of 1 ms, which is far too coarse for half a period of 2.7 ms.
   * So the thread waits for at most half a period on a futex and gives the event loop a turn in between.
   */
  private async turn(askedHertz: number): Promise<Pulses> {
    const halfMs = 500 / askedHertz;
    const start = performance.now();
    let halves = 0;
    let first = 0;
    let last = 0;
    let worstLatenessMs = 0;
    while (!this.stopping || halves % 2 === 1) {
      await turn();
      const wait = start + halves * halfMs - performance.now();
      if (wait > 0) Atomics.wait(FUTEX, 0, 0, wait);
      const falling = halves % 2 === 0;
      this.qtest.drive(this.pin, falling ? 0 : 1);
      if (falling) {
        last = performance.now();
        worstLatenessMs = Math.max(worstLatenessMs, last - start - halves * halfMs);
        if (halves === 0) first = last;
      }
      halves += 1;
    }
    const count = halves / 2;
    const hertz = count < 2 ? 0 : ((count - 1) * 1000) / (last - first);
    return { count, hertz, worstLatenessMs, lastEdgeHostMs: last };
  }
}
