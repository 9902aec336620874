// What a chip is to a bus: something that takes bytes and gives bytes. And the two things nearly all chips share:
// a register pointer, and a conversion that takes time and is held until the next one.

/** A chip as the wires see it. `read` returns null when the chip does not acknowledge (no data yet). */
export interface BusDevice {
  write(bytes: Uint8Array): void;
  read(length: number): Uint8Array | null;
}

/** Time and the measured quantity of one simulated chip. */
export type Probe = {
  /** Seconds of the board's monotonic clock. */
  readonly now: () => number;
  /** The quantity at the chip now, noise included, °C. */
  readonly celsius: () => number;
};

/** Registers behind a pointer: the first byte written is the pointer, the rest goes to that register. */
export type Registers = {
  /** Bytes of a register, most significant first; an unused one answers what the silicon does. */
  readonly get: (register: number) => readonly number[];
  readonly set: (register: number, bytes: readonly number[]) => void;
};

/** A chip with a register pointer that stays where it was put. */
export function pointerDevice(registers: Registers): BusDevice {
  let pointer = 0;
  return {
    write(bytes) {
      const [register, ...rest] = bytes;
      if (register === undefined) return;
      pointer = register;
      if (rest.length > 0) registers.set(register, rest);
    },
    read(length) {
      const bytes = registers.get(pointer);
      // A master that reads on gets the register again from its first byte.
      return Uint8Array.from({ length }, (_, at) => bytes[at % Math.max(1, bytes.length)] ?? 0xff);
    },
  };
}

/** Two bytes of a 16-bit word, most significant first; negative numbers in two's complement. */
export const word = (value: number): readonly [number, number] => [(value >> 8) & 0xff, value & 0xff];

/** The 16-bit word of two bytes. */
export const fromBytes = (bytes: readonly number[]): number => (((bytes[0] ?? 0) << 8) | (bytes[1] ?? 0)) & 0xffff;

/** The nearest whole number of steps within a signed range. */
export function steps(value: number, step: number, lowest: number, highest: number): number {
  return Math.min(highest, Math.max(lowest, Math.round(value / step)));
}

/** A value that is taken anew every `periodSeconds` and held in between; null until the first conversion has ended. */
export class HeldConversion<Value> {
  readonly #now: () => number;
  readonly #take: () => Value;
  #startedAtSeconds: number;
  #firstSeconds: number;
  #periodSeconds: number;
  #index = -1;
  #held: Value | null = null;

  constructor(now: () => number, take: () => Value, firstSeconds: number, periodSeconds: number) {
    this.#now = now;
    this.#take = take;
    this.#startedAtSeconds = now();
    this.#firstSeconds = firstSeconds;
    this.#periodSeconds = periodSeconds;
  }

  /** Begins again; an infinite period means one single conversion. */
  restart(firstSeconds: number, periodSeconds: number): void {
    this.#startedAtSeconds = this.#now();
    this.#firstSeconds = firstSeconds;
    this.#periodSeconds = periodSeconds;
    this.#index = -1;
  }

  /** How many conversions have ended since the last start. */
  get count(): number {
    const age = this.#now() - this.#startedAtSeconds + 1e-9;
    if (age < this.#firstSeconds) return 0;
    return (
      1 + (Number.isFinite(this.#periodSeconds) ? Math.floor((age - this.#firstSeconds) / this.#periodSeconds) : 0)
    );
  }

  /** The latest result; one from before a restart stays until the first new one. */
  latest(): Value | null {
    const count = this.count;
    if (count > 0 && count !== this.#index) {
      this.#index = count;
      this.#held = this.#take();
    }
    return this.#held;
  }

  /** Forgets the held value, as a power cycle does. */
  clear(): void {
    this.#held = null;
    this.#index = -1;
  }
}
