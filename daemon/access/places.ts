// Places that many share, of which one address may have a part only, so that it cannot keep everybody else out.
// Pure counting; it knows neither what a place is nor who may have one.

import { neighbourhood } from "./neighbourhood.ts";

export class Places {
  readonly #most: number;
  readonly #mostEach: number;
  readonly #taken = new Map<string, number>();
  #all = 0;

  /** `most` for all together, `mostEach` for one address. @throws RangeError when there is no place for anybody */
  constructor(most: number, mostEach: number) {
    if (!(most >= 1 && mostEach >= 1)) throw new RangeError("places: most and mostEach must be above 0");
    this.#most = most;
    this.#mostEach = mostEach;
  }

  get taken(): number {
    return this.#all;
  }

  isFree(address: string): boolean {
    return this.#all < this.#most && (this.#taken.get(neighbourhood(address)) ?? 0) < this.#mostEach;
  }

  /** One more of this address, until the function that is returned is called. */
  take(address: string): () => void {
    const key = neighbourhood(address);
    this.#count(key, 1);
    let held = true;
    return () => {
      if (held) this.#count(key, -1);
      held = false;
    };
  }

  #count(key: string, change: 1 | -1): void {
    const left = (this.#taken.get(key) ?? 0) + change;
    this.#all += change;
    if (left === 0) this.#taken.delete(key);
    else this.#taken.set(key, left);
  }
}
