// The page's clock: the only file of the page that reads time, chance or sets a timer. It never says what time it is at
// the feedpoint.

export type Cancel = () => void;

export type PageClock = {
  /** Monotonic seconds since the page opened. */
  readonly nowSeconds: () => number;
  /** 0–1. */
  readonly chance: () => number;
  readonly after: (seconds: number, task: () => void) => Cancel;
  readonly every: (seconds: number, task: () => void) => Cancel;
};

export function browserClock(): PageClock {
  return {
    nowSeconds: () => performance.now() / 1000,
    chance: () => (crypto.getRandomValues(new Uint32Array(1))[0] ?? 0) / 2 ** 32,
    after: (seconds, task) => {
      const timer = setTimeout(task, seconds * 1000);
      return () => clearTimeout(timer);
    },
    every: (seconds, task) => {
      const timer = setInterval(task, seconds * 1000);
      return () => clearInterval(timer);
    },
  };
}
