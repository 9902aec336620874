// QEMU's machine protocol (QMP): the channel over which the host changes what an emulated chip measures, and its address.

import { within } from "./deadline.ts";
import { LineSocket } from "./line-socket.ts";

type Answer = { readonly return?: unknown; readonly error?: { readonly class: string; readonly desc: string } };

const ANSWER_SECONDS = 20;

export class Qmp {
  private readonly lines: LineSocket;
  private turn: Promise<unknown> = Promise.resolve();

  private constructor(lines: LineSocket) {
    this.lines = lines;
  }

  static async open(path: string): Promise<Qmp> {
    const qmp = new Qmp(await LineSocket.open(path, ANSWER_SECONDS));
    await qmp.execute("qmp_capabilities", {});
    return qmp;
  }

  /** One command at a time; rejects with the emulator's words. */
  execute(command: string, args: Readonly<Record<string, unknown>>): Promise<unknown> {
    const run = () => within(ANSWER_SECONDS, `QMP ${command}`, this.ask(command, args));
    const result = this.turn.then(run, run);
    this.turn = result;
    return result;
  }

  private ask(command: string, args: Readonly<Record<string, unknown>>): Promise<unknown> {
    return new Promise((resolve, reject) => {
      const forget = this.lines.onLine((line) => {
        if (line.trim() === "") return;
        const answer = JSON.parse(line) as Answer;
        // The greeting and events carry neither key.
        if (answer.return === undefined && answer.error === undefined) return;
        forget();
        if (answer.error !== undefined)
          reject(new Error(`QMP ${command}: ${answer.error.class}: ${answer.error.desc}`));
        else resolve(answer.return);
      });
      this.lines.send(JSON.stringify({ execute: command, arguments: args }));
    });
  }

  close(): void {
    this.lines.close();
  }
}
