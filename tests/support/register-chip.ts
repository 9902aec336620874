// A chip that is nothing but a table of registers, behind a handle that can be told to fail: for tests of one driver or of
// the bus alone. Whole feedpoints are tested on the simulated board.
import { I2cBus } from "../../hardware/i2c.ts";
import type { I2cHandle } from "../../hardware/ports.ts";
import { ManualClock } from "./manual-clock.ts";

/** An error as the system gives it. */
export function systemError(code: string, syscall = "ioctl"): Error {
  return Object.assign(new Error(`${code}: ${syscall}`), { code, syscall });
}

/** One chip: reads give what the table says, writes are kept. */
export class RegisterChip {
  readonly writes: Uint8Array[] = [];
  /** `write` and `read`, in the order in which they came. */
  readonly calls: ("write" | "read")[] = [];
  readonly registers: Map<number, readonly number[]>;
  /** Answers plain reads, for chips with commands instead of registers. */
  answer: readonly number[] = [];
  /** Called with every write, so that a test can let the chip react. */
  onWrite: (bytes: Uint8Array) => void = () => undefined;

  constructor(registers: Readonly<Record<number, readonly number[]>> = {}) {
    this.registers = new Map(Object.entries(registers).map(([key, bytes]) => [Number(key), bytes]));
  }

  setWord(register: number, word: number): void {
    this.registers.set(register, [word >> 8, word & 0xff]);
  }

  handle(): I2cHandle {
    return {
      readRegister: async (_address, register, length) => {
        const bytes = this.registers.get(register);
        if (bytes === undefined) throw systemError("EREMOTEIO");
        return Uint8Array.from(bytes.slice(0, length));
      },
      write: async (_address, bytes) => {
        this.calls.push("write");
        this.writes.push(bytes);
        this.onWrite(bytes);
      },
      read: async (_address, length) => {
        this.calls.push("read");
        return Uint8Array.from(this.answer.slice(0, length));
      },
      close: async () => undefined,
    };
  }

  /** A bus with this chip alone, on a manual clock. */
  onBus(): { readonly bus: I2cBus; readonly clock: ManualClock } {
    const clock = new ManualClock();
    return { bus: new I2cBus({ bus: 1, clock, open: async () => this.handle() }), clock };
  }
}

/** Bytes of a hexadecimal text such as `0C80`. */
export function bytesOf(hexadecimal: string): Uint8Array {
  return Uint8Array.from(hexadecimal.match(/../g) ?? [], (pair) => Number.parseInt(pair, 16));
}
