// One queue per I2C bus: never two transfers at once, a deadline on each, bounded retry, and a fresh handle after an
// error (a handle whose address select failed would otherwise be used with no address). It never interprets a byte.
import { BusFaults } from "./bus-faults.ts";
import { fromErrno } from "./errno.ts";
import { HardwareError } from "./errors.ts";
import { Lane } from "./lane.ts";
import { placeOfAddress, placeOfBus } from "./place.ts";
import type { BusHealth, Clock, I2cHandle } from "./ports.ts";
import { ReopeningHandle } from "./reopening-handle.ts";

/** One address on a bus, as a chip sees it: every call queued, retried and bounded in time by the bus. */
export interface I2cDevice {
  /** e.g. `i2c-1 0x48`. */
  readonly place: string;
  readonly clock: Clock;
  /** Writes the register number, repeated start, reads `length` bytes. Rejects with HardwareError. */
  readRegister(register: number, length: number): Promise<Uint8Array>;
  /** A plain write. Rejects with HardwareError. */
  write(bytes: Uint8Array): Promise<void>;
  /** A plain read. Rejects with HardwareError. */
  read(length: number): Promise<Uint8Array>;
  /** Runs a sequence of calls to this address that no other sequence may cut into. */
  exclusive<T>(sequence: () => Promise<T>): Promise<T>;
}

/** How one bus is opened and how patient it is. */
export type I2cBusOptions = {
  /** Number of the adapter, as in `/dev/i2c-1`. */
  readonly bus: number;
  readonly clock: Clock;
  readonly open: () => Promise<I2cHandle>;
  /** Longest single attempt, s. An absent address may block for 0.38 s on some adapters. */
  readonly attemptSeconds?: number;
  /** Longest transfer in all, from asking to answer, waiting and retries included, s. */
  readonly budgetSeconds?: number;
  /** Attempts after the first. */
  readonly retries?: number;
};

/** How many transfers may wait for the bus. */
const LONGEST_QUEUE = 64;

/** With less time than this left a transfer is not begun, s: it would only leave a hanging call behind. */
const SHORTEST_ATTEMPT_SECONDS = 0.02;

/** Errors that may pass by themselves. Not TIMEOUT: the time is spent, and others wait for the bus. */
const REPEATED = new Set(["NACK", "BUS_STUCK", "IO", "CRC"]);

type Call<T> = (handle: I2cHandle) => Promise<T>;
type Turn = { readonly address: number; readonly go: () => void };

/** One I2C bus. Opened with the first transfer, so that a bus that appears later is found. */
export class I2cBus {
  readonly place: string;
  readonly #bus: number;
  readonly #clock: Clock;
  readonly #attemptSeconds: number;
  readonly #budgetSeconds: number;
  readonly #retries: number;
  readonly #handle: ReopeningHandle;
  readonly #faults: BusFaults;
  readonly #queue: Turn[] = [];
  #busy = false;
  #transfers = 0;
  #retried = 0;
  #closed = false;

  constructor(options: I2cBusOptions) {
    this.#bus = options.bus;
    this.place = placeOfBus(options.bus);
    this.#clock = options.clock;
    this.#attemptSeconds = options.attemptSeconds ?? 0.4;
    this.#budgetSeconds = options.budgetSeconds ?? 0.5;
    this.#retries = options.retries ?? 2;
    if (!(this.#attemptSeconds >= SHORTEST_ATTEMPT_SECONDS && this.#attemptSeconds <= this.#budgetSeconds)) {
      throw new RangeError(
        `an attempt takes ${SHORTEST_ATTEMPT_SECONDS} s to the budget, not ${this.#attemptSeconds} s`,
      );
    }
    if (!Number.isInteger(this.#retries) || this.#retries < 0 || this.#retries > 10) {
      throw new RangeError(`retries are 0 to 10, not ${this.#retries}`);
    }
    this.#handle = new ReopeningHandle({ place: this.place, clock: options.clock, open: options.open });
    this.#faults = new BusFaults(options.clock);
  }

  /** The chip at a 7-bit address that is not reserved (UM10204 table 4). */
  device(address: number): I2cDevice {
    if (!Number.isInteger(address) || address < 0x08 || address > 0x77) {
      throw new RangeError(`an I2C address is 0x08 to 0x77, not ${address}`);
    }
    const place = placeOfAddress(this.#bus, address);
    const lane = new Lane(place);
    return {
      place,
      clock: this.#clock,
      readRegister: (register, length) =>
        this.#transfer(address, place, async (handle) =>
          whole(await handle.readRegister(address, register, length), length, place),
        ),
      write: (bytes) => this.#transfer(address, place, (handle) => handle.write(address, bytes)),
      read: (length) =>
        this.#transfer(address, place, async (handle) => whole(await handle.read(address, length), length, place)),
      exclusive: (sequence) => lane.run(sequence),
    };
  }

  /** Counters since start; `errors` counts every failed attempt by its code. */
  health(): BusHealth {
    return {
      bus: this.place,
      transfers: this.#transfers,
      retries: this.#retried,
      reopens: this.#handle.reopens,
      errors: this.#faults.counts(),
      stuck: this.#faults.stuck,
    };
  }

  /** Closes the handle; later transfers reject with CLOSED. */
  async close(): Promise<void> {
    this.#closed = true;
    await this.#handle.close();
  }

  /** One transfer with its place in the queue, its retries and its budget of time. */
  async #transfer<T>(address: number, place: string, call: Call<T>): Promise<T> {
    const untilSeconds = this.#clock.monotonicSeconds() + this.#budgetSeconds;
    await this.#turn(address, place);
    try {
      for (let attempt = 0; ; attempt += 1) {
        const leftSeconds = untilSeconds - this.#clock.monotonicSeconds();
        this.#admit(address, place, leftSeconds);
        try {
          return await this.#attempt(address, place, call, Math.min(this.#attemptSeconds, leftSeconds));
        } catch (cause) {
          const error = fromErrno(cause, place, "i2c");
          const isOver = untilSeconds - this.#clock.monotonicSeconds() < SHORTEST_ATTEMPT_SECONDS;
          if (attempt >= this.#retries || isOver || !REPEATED.has(error.code)) throw error;
          this.#retried += 1;
        }
      }
    } finally {
      this.#next();
    }
  }

  /** Refuses what cannot succeed now, without touching the bus. */
  #admit(address: number, place: string, leftSeconds: number): void {
    if (this.#closed) throw new HardwareError("CLOSED", place);
    if (leftSeconds < SHORTEST_ATTEMPT_SECONDS) throw new HardwareError("TIMEOUT", place, "others kept the bus");
    if (this.#handle.isBlocked) throw new HardwareError("BUS_STUCK", place, "an earlier transfer has not ended");
    if (!this.#faults.mayTry(address)) throw new HardwareError("BUS_STUCK", place, "waiting for the next try");
  }

  async #attempt<T>(address: number, place: string, call: Call<T>, seconds: number): Promise<T> {
    this.#transfers += 1;
    try {
      const value = await this.#handle.attempt(call, seconds, place);
      this.#faults.succeeded(address);
      return value;
    } catch (cause) {
      const error = fromErrno(cause, place, "i2c");
      this.#faults.failed(address, error.code);
      if (error.code !== "TIMEOUT" || !this.#faults.stuck) throw error;
      throw new HardwareError("BUS_STUCK", place, undefined, { cause: error });
    }
  }

  /** Resolves when the bus is free for this address; addresses that answered last time go before silent ones. */
  #turn(address: number, place: string): Promise<void> {
    if (!this.#busy) {
      this.#busy = true;
      return Promise.resolve();
    }
    if (this.#queue.length >= LONGEST_QUEUE) {
      return Promise.reject(new HardwareError("TIMEOUT", place, `${LONGEST_QUEUE} transfers are waiting`));
    }
    return new Promise((resolve) => {
      this.#queue.push({ address, go: resolve });
    });
  }

  #next(): void {
    const answering = this.#queue.findIndex((turn) => !this.#faults.isSilent(turn.address));
    const [turn] = this.#queue.splice(Math.max(0, answering), 1);
    if (turn === undefined) this.#busy = false;
    else turn.go();
  }
}

/** The bytes when all came; a short answer is an error, never padded. */
function whole(bytes: Uint8Array, length: number, place: string): Uint8Array {
  if (bytes.length === length) return bytes;
  throw new HardwareError("IO", place, `${bytes.length} of ${length} bytes`);
}
