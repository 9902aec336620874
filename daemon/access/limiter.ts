// How often a password may be tried: a few times at once, then at a slow pace, for each address and for all together.
// Pure counting with a bounded table; it knows no password and no clock.

import { neighbourhood } from "./neighbourhood.ts";

export type AttemptPace = {
  /** Tries that may come at once. */
  readonly burst: number;
  /** After them, one more every so many seconds. */
  readonly everySeconds: number;
};

const EACH: AttemptPace = { burst: 5, everySeconds: 30 };
/** All addresses together: some thirty tries an hour for each bit of patience, whatever number of addresses an attacker has. */
const ALL: AttemptPace = { burst: 20, everySeconds: 10 };
const MOST_ADDRESSES = 512;

/** Tries left, and when that was so. */
type Bucket = { left: number; atSeconds: number };

export class AttemptLimiter {
  readonly #buckets = new Map<string, Bucket>();
  #all: Bucket = { left: ALL.burst, atSeconds: 0 };

  /** Addresses remembered just now. */
  get size(): number {
    return this.#buckets.size;
  }

  /**
   * Takes one try of this address. Returns 0 when it may go on, else the seconds to wait.
   * `alone` keeps an address out of the common count: the machine itself is never locked out by strangers.
   */
  take(address: string, nowSeconds: number, alone = false): number {
    const key = neighbourhood(address);
    const own = refilled(this.#buckets.get(key), EACH, nowSeconds);
    const all = refilled(this.#all, ALL, nowSeconds);
    const wait = Math.max(waitSeconds(own, EACH), alone ? 0 : waitSeconds(all, ALL));
    if (wait > 0) return wait;
    own.left -= 1;
    if (!alone) all.left -= 1;
    this.#all = all;
    this.#buckets.delete(key);
    this.#buckets.set(key, own);
    this.#forget(nowSeconds);
    return 0;
  }

  /** Gives the try back: the password was right, or it was never looked at. */
  giveBack(address: string, alone = false): void {
    const own = this.#buckets.get(neighbourhood(address));
    if (own !== undefined) own.left = Math.min(EACH.burst, own.left + 1);
    if (!alone) this.#all.left = Math.min(ALL.burst, this.#all.left + 1);
  }

  /** Those that are full again first, then the oldest. The common count stands whoever is forgotten. */
  #forget(nowSeconds: number): void {
    if (this.#buckets.size <= MOST_ADDRESSES) return;
    for (const [key, bucket] of this.#buckets) {
      if (refilled(bucket, EACH, nowSeconds).left >= EACH.burst) this.#buckets.delete(key);
    }
    for (const key of this.#buckets.keys()) {
      if (this.#buckets.size <= MOST_ADDRESSES) return;
      this.#buckets.delete(key);
    }
  }
}

function refilled(bucket: Bucket | undefined, { burst, everySeconds }: AttemptPace, nowSeconds: number): Bucket {
  if (bucket === undefined) return { left: burst, atSeconds: nowSeconds };
  const gained = Math.max(0, nowSeconds - bucket.atSeconds) / everySeconds;
  return { left: Math.min(burst, bucket.left + gained), atSeconds: nowSeconds };
}

function waitSeconds({ left }: Bucket, { everySeconds }: AttemptPace): number {
  return left >= 1 ? 0 : Math.ceil((1 - left) * everySeconds);
}
