// What went wrong on one I2C bus: counters by code, and the verdict that the bus is stuck. It never touches the bus.
import type { HardwareErrorCode } from "./errors.ts";
import type { Clock } from "./ports.ts";

/** Transfers in a row that end with no answer at all before the bus counts as stuck. */
const STUCK_AFTER = 3;

/** How often a stuck bus is tried again, s; between tries every transfer is refused at once, so that a cycle stays short. */
const PROBE_SECONDS = 0.5;

/** When nobody was let through for this long, all who ask have had their turn and the round begins anew, s. */
const ROUND_OVER_SECONDS = 1.5;

/**
 * A bus is stuck when several transfers in a row got no answer: not even a missing acknowledge, which a bus with free
 * wires gives at once. On a bus with one chip a chip that holds the clock low looks the same, and is the same trouble.
 */
export class BusFaults {
  readonly #clock: Clock;
  readonly #counts = new Map<HardwareErrorCode, number>();
  readonly #silent = new Set<number>();
  readonly #probed = new Set<number>();
  #inARow = 0;
  #probedAtSeconds = Number.NEGATIVE_INFINITY;

  constructor(clock: Clock) {
    this.#clock = clock;
  }

  get stuck(): boolean {
    return this.#inARow >= STUCK_AFTER;
  }

  /** Failed attempts by code. */
  counts(): Readonly<Record<string, number>> {
    return Object.fromEntries(this.#counts);
  }

  /** True when the last transfer to this address got no answer: it may wait until the others are done. */
  isSilent(address: number): boolean {
    return this.#silent.has(address);
  }

  /** Whether a transfer may start. On a stuck bus one may, each half second, and the addresses take turns. */
  mayTry(address: number): boolean {
    if (!this.stuck) return true;
    const nowSeconds = this.#clock.monotonicSeconds();
    const sinceSeconds = nowSeconds - this.#probedAtSeconds;
    if (sinceSeconds > ROUND_OVER_SECONDS) this.#probed.clear();
    if (sinceSeconds < PROBE_SECONDS || this.#probed.has(address)) return false;
    this.#probedAtSeconds = nowSeconds;
    this.#probed.add(address);
    return true;
  }

  succeeded(address: number): void {
    this.#silent.delete(address);
    this.#free();
  }

  failed(address: number, code: HardwareErrorCode): void {
    this.#counts.set(code, (this.#counts.get(code) ?? 0) + 1);
    if (code === "TIMEOUT" || code === "BUS_STUCK") {
      this.#silent.add(address);
      this.#inARow += 1;
    } else {
      this.#silent.delete(address);
      if (code === "NACK") this.#free();
    }
  }

  #free(): void {
    this.#inARow = 0;
    this.#probed.clear();
  }
}
