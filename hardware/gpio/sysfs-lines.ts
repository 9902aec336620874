// One GPIO line through `onoff`: opened, its settings read back, and given back. onoff swallows errors on a pin that a crash
// left exported, so nothing is believed that was not read back. Its debounce is never used: it starves a tachometer.
import { pause } from "../clock.ts";
import { fromErrno } from "../errno.ts";
import { HardwareError } from "../errors.ts";
import type { Cancel, Clock, EdgeLine, OutputLine } from "../ports.ts";

/** What is used of an `onoff` line. */
export interface OnoffGpio {
  read(): Promise<0 | 1>;
  write(value: 0 | 1): Promise<void>;
  watch(callback: (error: Error | null | undefined, value: 0 | 1) => void): void;
  unwatchAll(): void;
  direction(): string;
  edge(): string;
  activeLow(): boolean;
  unexport(): void;
}

/** What is used of the package `onoff`. */
export interface OnoffModule {
  readonly Gpio: new (
    gpio: number,
    direction: "in" | "low",
    edge: "none" | "falling",
    options: { readonly activeLow: boolean },
  ) => OnoffGpio;
}

/** Tries while udev gives the new pin's files to the group, and the pause between them. */
const PERMISSION_TRIES = 10;
const PERMISSION_PAUSE_SECONDS = 0.1;

/** A line to be opened: its sysfs number and its name for the operator. */
export type NumberedLine = { readonly number: number; readonly place: string };

/** Opens a line as an input with falling edges. Rejects with HardwareError. */
export async function openEdgeLine(onoff: OnoffModule, line: NumberedLine, clock: Clock): Promise<EdgeLine> {
  const gpio = await openChecked(
    line,
    clock,
    () => new onoff.Gpio(line.number, "in", "falling", { activeLow: false }),
    [
      ["direction", "in"],
      ["edge", "falling"],
    ],
  );
  return new OnoffEdgeLine(gpio, line.place, clock);
}

/** Opens a line as an output that is low from the first moment. Rejects with HardwareError. */
export async function openOutputLine(onoff: OnoffModule, line: NumberedLine, clock: Clock): Promise<OutputLine> {
  const gpio = await openChecked(line, clock, () => new onoff.Gpio(line.number, "low", "none", { activeLow: false }), [
    ["direction", "out"],
  ]);
  return new OnoffOutputLine(gpio, line.place);
}

type Setting = readonly ["direction" | "edge", string];

/**
 * Opens and reads the settings back. A pin whose settings did not take (left exported by a crash, or by somebody else) is
 * given back to the kernel once and opened anew, which sets everything afresh.
 */
async function openChecked(
  line: NumberedLine,
  clock: Clock,
  open: () => OnoffGpio,
  settings: readonly Setting[],
): Promise<OnoffGpio> {
  const first = await openPermitted(line, clock, open);
  if (wrongSetting(first, settings) === null) return first;
  giveBack(first);
  const second = await openPermitted(line, clock, open);
  const wrong = wrongSetting(second, settings);
  if (wrong === null) return second;
  giveBack(second);
  throw new HardwareError("LINE_SETTINGS", line.place, wrong);
}

/** onoff exports the pin, then needs files that udev may still be handing over. */
async function openPermitted(line: NumberedLine, clock: Clock, open: () => OnoffGpio): Promise<OnoffGpio> {
  for (let attempt = 1; ; attempt += 1) {
    try {
      return open();
    } catch (cause) {
      const error = fromErrno(cause, line.place, "line");
      if (error.code !== "PERMISSION" || attempt === PERMISSION_TRIES) throw error;
      await pause(clock, PERMISSION_PAUSE_SECONDS);
    }
  }
}

/** The first setting that is not as asked, in words; null when all are. */
function wrongSetting(gpio: OnoffGpio, settings: readonly Setting[]): string | null {
  try {
    for (const [name, expected] of settings) {
      const got = gpio[name]();
      if (got !== expected) return `${name} is ${got}, not ${expected}`;
    }
    return gpio.activeLow() ? "active_low is set" : null;
  } catch (cause) {
    return cause instanceof Error ? cause.message : String(cause);
  }
}

function giveBack(gpio: OnoffGpio): void {
  try {
    gpio.unexport();
  } catch {
    // The pin is lost to us either way; what matters is reported by whoever could not use it.
  }
}

class OnoffEdgeLine implements EdgeLine {
  readonly stampedBy = "program";
  readonly lostEdges = null;
  readonly #gpio: OnoffGpio;
  readonly #place: string;
  readonly #clock: Clock;
  readonly #listeners = new Set<(atSeconds: number) => void>();
  #closed = false;

  constructor(gpio: OnoffGpio, place: string, clock: Clock) {
    this.#gpio = gpio;
    this.#place = place;
    this.#clock = clock;
  }

  onEdge(listener: (atSeconds: number) => void): Cancel {
    if (this.#closed) throw new HardwareError("CLOSED", this.#place);
    const own = (atSeconds: number): void => listener(atSeconds);
    this.#listeners.add(own);
    if (this.#listeners.size === 1) {
      this.#gpio.watch((error) => {
        if (error) return;
        const atSeconds = this.#clock.monotonicSeconds();
        for (const each of this.#listeners) each(atSeconds);
      });
    }
    return () => {
      if (this.#listeners.delete(own) && this.#listeners.size === 0 && !this.#closed) this.#gpio.unwatchAll();
    };
  }

  async read(): Promise<0 | 1> {
    if (this.#closed) throw new HardwareError("CLOSED", this.#place);
    try {
      return await this.#gpio.read();
    } catch (cause) {
      throw fromErrno(cause, this.#place, "line");
    }
  }

  async close(): Promise<void> {
    if (this.#closed) return;
    this.#closed = true;
    this.#listeners.clear();
    giveBack(this.#gpio);
  }
}

class OnoffOutputLine implements OutputLine {
  readonly #gpio: OnoffGpio;
  readonly #place: string;
  #closed = false;

  constructor(gpio: OnoffGpio, place: string) {
    this.#gpio = gpio;
    this.#place = place;
  }

  write(level: 0 | 1): Promise<void> {
    return this.#run(() => this.#gpio.write(level));
  }

  read(): Promise<0 | 1> {
    return this.#run(() => this.#gpio.read());
  }

  /** Low first: some chips keep the level of a pin that is given back. */
  async close(): Promise<void> {
    if (this.#closed) return;
    try {
      await this.write(0);
    } finally {
      this.#closed = true;
      giveBack(this.#gpio);
    }
  }

  async #run<T>(work: () => Promise<T>): Promise<T> {
    if (this.#closed) throw new HardwareError("CLOSED", this.#place);
    try {
      return await work();
    } catch (cause) {
      throw fromErrno(cause, this.#place, "line");
    }
  }
}
