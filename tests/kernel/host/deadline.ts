// Waiting with a deadline, for the host's side of the kernel test. The deadline bounds a wait; it is never a figure under test.

import { setTimeout as pause } from "node:timers/promises";

/** Milliseconds between two looks at a condition. */
const LOOK_EVERY_MS = 20;

/** Resolves to the promise's value, or rejects with `what` after `seconds`. */
export async function within<T>(seconds: number, what: string, work: Promise<T>): Promise<T> {
  const stop = new AbortController();
  const late = pause(seconds * 1000, undefined, { signal: stop.signal }).then(() => {
    throw new Error(`${what}: nothing within ${seconds} s`);
  });
  try {
    return await Promise.race([work, late]);
  } finally {
    stop.abort();
    late.catch(() => undefined);
  }
}

/** Looks every `everyMs` until `look` gives something; rejects with `what` and the last error after `seconds`. */
export async function until<T>(
  seconds: number,
  what: string,
  look: () => Promise<T | undefined> | T | undefined,
  everyMs = LOOK_EVERY_MS,
): Promise<T> {
  const end = performance.now() + seconds * 1000;
  let last: unknown;
  while (performance.now() < end) {
    try {
      const found = await look();
      if (found !== undefined) return found;
    } catch (error) {
      last = error;
    }
    await pause(everyMs);
  }
  throw new Error(`${what}: nothing within ${seconds} s`, { cause: last });
}
