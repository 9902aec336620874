// The only file of the daemon's side that reads a clock or sets a timer: monotonic and wall time, the boot's identity,
// and whether the wall clock was synchronised since boot. It never decides what a time means.
import { randomUUID } from "node:crypto";
import { readFile, stat } from "node:fs/promises";
import { HardwareError } from "./errors.ts";
import type { Cancel, Clock } from "./ports.ts";

/** Longest wait of one timer, s: a longer one overflows the 32-bit milliseconds of Node's timers. */
const LONGEST_TIMER_SECONDS = 2_000_000;

/** How old the answer of `wallIsTrusted` may be before it is looked up again, s. */
const TRUST_REFRESH_SECONDS = 10;

/**
 * Files that exist, or are rewritten, only by a time service that has synchronised the system clock.
 * systemd-timesyncd touches the first after its first answer (systemd-timesyncd.service(8)) and /run is empty at boot;
 * the drift files outlive a reboot, so they count only when written since boot. Without a real-time clock a boot may begin before
 * the last one ended: a drift file of the future is of another boot, and stays so once the clock has passed its date.
 */
const SYNCHRONISED_EVIDENCE = [
  { path: "/run/systemd/timesync/synchronized", sinceBoot: false },
  { path: "/var/lib/chrony/chrony.drift", sinceBoot: true },
  { path: "/var/lib/chrony/drift", sinceBoot: true },
  { path: "/var/lib/ntpsec/ntp.drift", sinceBoot: true },
] as const;

/** Where the system clock looks; tests give a tree of their own. */
export type SystemClockOptions = {
  /** Put before every absolute path; empty on a real machine. */
  readonly root?: string;
};

/** The wall clock is read in whole milliseconds, a file's time is not. */
const WALL_STEP_SECONDS = 0.001;

/**
 * The machine's own clock. Monotonic seconds count from boot and agree between threads and processes of one boot.
 * The wall clock is trusted once there is evidence on disk that a time service synchronised it since boot; the evidence
 * is looked at in the background at most every 10 s, so the answer may be that old.
 */
export async function systemClock(options: SystemClockOptions = {}): Promise<Clock> {
  const root = options.root ?? "";
  const clock = new SystemClock(root, await readBootId(root));
  await clock.refreshTrust();
  return clock;
}

/** Made by `systemClock`. */
export class SystemClock implements Clock {
  readonly bootId: string;
  readonly #root: string;
  #trusted = false;
  #trustedAtSeconds = Number.NEGATIVE_INFINITY;
  #refreshing = false;
  /** When files of another boot were written, by path. */
  readonly #ofAnotherBoot = new Map<string, number>();

  constructor(root: string, bootId: string) {
    this.#root = root;
    this.bootId = bootId;
  }

  monotonicSeconds(): number {
    return Number(process.hrtime.bigint()) / 1e9;
  }

  wallSeconds(): number {
    return Date.now() / 1000;
  }

  wallIsTrusted(): boolean {
    const age = this.monotonicSeconds() - this.#trustedAtSeconds;
    if (age > TRUST_REFRESH_SECONDS && !this.#refreshing) void this.refreshTrust();
    return this.#trusted;
  }

  after(seconds: number, task: () => void): Cancel {
    if (!(seconds >= 0 && seconds <= LONGEST_TIMER_SECONDS)) {
      throw new RangeError(`a timer waits 0 to ${LONGEST_TIMER_SECONDS} s, not ${seconds}`);
    }
    const timer = setTimeout(task, seconds * 1000);
    return () => clearTimeout(timer);
  }

  /** Looks for the evidence again; never rejects. */
  async refreshTrust(): Promise<void> {
    this.#refreshing = true;
    const bootedAtSeconds = this.wallSeconds() - this.monotonicSeconds();
    const found = await Promise.all(
      SYNCHRONISED_EVIDENCE.map(async ({ path, sinceBoot }) => {
        try {
          const writtenAtSeconds = (await stat(`${this.#root}${path}`)).mtimeMs / 1000;
          if (!sinceBoot) return true;
          if (writtenAtSeconds > this.wallSeconds() + WALL_STEP_SECONDS)
            this.#ofAnotherBoot.set(path, writtenAtSeconds);
          return writtenAtSeconds > bootedAtSeconds && this.#ofAnotherBoot.get(path) !== writtenAtSeconds;
        } catch {
          return false;
        }
      }),
    );
    this.#trusted = found.includes(true);
    this.#trustedAtSeconds = this.monotonicSeconds();
    this.#refreshing = false;
  }
}

/** The kernel's identity of this boot; where there is none (not Linux) each start counts as a boot of its own. */
async function readBootId(root: string): Promise<string> {
  try {
    return (await readFile(`${root}/proc/sys/kernel/random/boot_id`, "utf8")).trim();
  } catch {
    return randomUUID();
  }
}

/**
 * The promise's own outcome, or a rejection with TIMEOUT at `place` once `seconds` have passed on `clock`.
 * The work itself is not stopped: whoever started it must be ready for a late end.
 */
export function withDeadline<T>(clock: Clock, seconds: number, place: string, promise: Promise<T>): Promise<T> {
  return new Promise<T>((resolve, reject) => {
    const cancel = clock.after(seconds, () => reject(new HardwareError("TIMEOUT", place, `${seconds} s`)));
    promise.then(
      (value) => {
        cancel();
        resolve(value);
      },
      (cause: unknown) => {
        cancel();
        reject(cause);
      },
    );
  });
}

/** Resolves after `seconds` of `clock`. */
export function pause(clock: Clock, seconds: number): Promise<void> {
  return new Promise((resolve) => {
    clock.after(seconds, resolve);
  });
}
