// QEMU's test protocol: moves pins of the emulated controller from outside and sees its outputs move. It starts nothing by itself.

import { LineSocket } from "./line-socket.ts";

/** One change of an output pin, stamped on the host's monotonic clock. */
export type PinMove = { readonly pin: number; readonly level: 0 | 1; readonly hostMs: number };

/** QEMU's name of the controller that carries all pins of this test. */
const GPIO = "/machine/soc/gpio5";

export class Qtest {
  private readonly lines: LineSocket;
  private readonly moves: PinMove[] = [];
  private readonly levels = new Map<number, 0 | 1>();

  private constructor(lines: LineSocket) {
    this.lines = lines;
    lines.onLine((line) => {
      const match = /^IRQ (raise|lower) (\d+)/.exec(line);
      if (match === null) return;
      const move: PinMove = { pin: Number(match[2]), level: match[1] === "raise" ? 1 : 0, hostMs: performance.now() };
      this.moves.push(move);
      this.levels.set(move.pin, move.level);
    });
  }

  static async open(path: string): Promise<Qtest> {
    const qtest = new Qtest(await LineSocket.open(path, 20));
    qtest.lines.send(`irq_intercept_out ${GPIO}`);
    return qtest;
  }

  /** Puts an input pin of the guest at a level, at once. */
  drive(pin: number, level: 0 | 1): void {
    this.lines.send(`set_irq_in ${GPIO} unnamed-gpio-in ${pin} ${level}`);
  }

  /** What an output pin was last seen to be; a pin that never moved is low. */
  level(pin: number): 0 | 1 {
    return this.levels.get(pin) ?? 0;
  }

  /** All moves of a pin since the start, oldest first. */
  movesOf(pin: number): readonly PinMove[] {
    return this.moves.filter((move) => move.pin === pin);
  }

  close(): void {
    this.lines.close();
  }
}
