// The world outside the guest's board, for a program inside that asks for it over one connection: edges on the tach pin, levels
// of output pins. One line of JSON each way; it checks nothing.

import { createServer, type Server, type Socket } from "node:net";
import { createInterface } from "node:readline";
import type { Guest } from "./guest.ts";

/** The host's loopback as QEMU's user network shows it to the guest. */
const HOST_FOR_GUEST = "10.0.2.2";

/** What may be asked. */
export type Question =
  | { readonly ask: "edges"; readonly count: number; readonly hertz: number }
  | { readonly ask: "level"; readonly pin: number };

export class Outside {
  /** Where the guest finds it, as `host port`. */
  readonly place: string;
  private readonly server: Server;
  private readonly sockets = new Set<Socket>();

  private constructor(server: Server, place: string) {
    this.server = server;
    this.place = place;
  }

  static async open(guest: Guest): Promise<Outside> {
    const server = createServer();
    await new Promise<void>((resolve, reject) => {
      server.once("error", reject);
      server.listen(0, "127.0.0.1", resolve);
    });
    const address = server.address();
    if (address === null || typeof address === "string") throw new Error("no port to listen on");
    const outside = new Outside(server, `${HOST_FOR_GUEST} ${address.port}`);
    server.on("connection", (socket) => outside.answer(socket, guest));
    return outside;
  }

  private answer(socket: Socket, guest: Guest): void {
    this.sockets.add(socket);
    socket.on("error", () => undefined);
    socket.on("close", () => this.sockets.delete(socket));
    createInterface({ input: socket }).on("line", (line) => {
      const question = JSON.parse(line) as Question;
      const answered =
        question.ask === "level"
          ? Promise.resolve({ level: guest.board.qtest.level(question.pin) })
          : guest.fan.pulse(question.count, question.hertz);
      answered.then(
        (answer) => socket.write(`${JSON.stringify(answer)}\n`),
        (error: Error) => socket.destroy(error),
      );
    });
  }

  close(): void {
    for (const socket of this.sockets) socket.destroy();
    this.server.close();
  }
}
