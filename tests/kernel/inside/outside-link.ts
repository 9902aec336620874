// The guest's end of the connection to the world outside: one question, one answer, in order.

import { connect, type Socket } from "node:net";
import { createInterface } from "node:readline";
import type { Question } from "../host/outside.ts";

export class OutsideLink {
  private readonly socket: Socket;
  private readonly answers: AsyncIterator<string>;

  private constructor(socket: Socket) {
    this.socket = socket;
    this.answers = createInterface({ input: socket })[Symbol.asyncIterator]();
  }

  static async open(host: string, port: number): Promise<OutsideLink> {
    const socket = connect(port, host);
    await new Promise<void>((resolve, reject) => {
      socket.once("connect", resolve);
      socket.once("error", reject);
    });
    return new OutsideLink(socket);
  }

  async ask<Answer>(question: Question): Promise<Answer> {
    this.socket.write(`${JSON.stringify(question)}\n`);
    const { value, done } = await this.answers.next();
    if (done === true) throw new Error("the outside is gone");
    return JSON.parse(value) as Answer;
  }

  close(): void {
    this.socket.destroy();
  }
}
