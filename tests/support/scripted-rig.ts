// A rig-control server that says whatever a test wants, on a port of its own: for everything that the real one does not do.

import { createServer, type Server, type Socket } from "node:net";
import { vi } from "vitest";

/** What is said to one question; `wrong` may do anything with the socket. */
export type Script = (question: string, socket: Socket) => void;

/** A well-behaved rig, to be spoilt question by question. */
export const POLITE: Readonly<Record<string, string>> = {
  chk_vfo: "ChkVFO: 0\n",
  get_ptt: "get_ptt:\nPTT: 1\nRPRT 0\n",
  get_freq: "get_freq:\nFrequency: 3650000\nRPRT 0\n",
  get_mode: "get_mode:\nMode: USB\nPassband: 2400\nRPRT 0\n",
  "get_level RFPOWER": "get_level: RFPOWER\n0.800000\nRPRT 0\n",
  "get_level RFPOWER_METER_WATTS": "get_level: RFPOWER_METER_WATTS\n42.500000\nRPRT 0\n",
  "get_level RFPOWER_METER": "get_level: RFPOWER_METER\n0.425000\nRPRT 0\n",
  "get_level SWR": "get_level: SWR\n1.700000\nRPRT 0\n",
};

export class ScriptedRig {
  readonly #server: Server;
  readonly #sockets = new Set<Socket>();
  /** Every question in the order of arrival, without its `+\`. */
  readonly questions: string[] = [];
  connections = 0;
  /** Most questions that were ever unanswered at the same time. */
  mostWaiting = 0;
  #waiting = 0;
  script: Script;

  constructor(script: Script) {
    this.script = script;
    this.#server = createServer((socket) => {
      this.connections += 1;
      this.#sockets.add(socket);
      socket.on("error", () => {});
      socket.on("close", () => this.#sockets.delete(socket));
      let text = "";
      socket.on("data", (piece) => {
        text += piece.toString("latin1");
        const lines = text.split("\n");
        text = lines.pop() ?? "";
        for (const line of lines) {
          const question = line.replace(/^\+\\/, "");
          this.questions.push(question);
          this.#waiting += 1;
          this.mostWaiting = Math.max(this.mostWaiting, this.#waiting);
          this.script(question, socket);
          this.#waiting = 0;
        }
      });
    });
  }

  async listen(): Promise<{ readonly host: string; readonly port: number }> {
    await new Promise<void>((resolve) => this.#server.listen(0, "127.0.0.1", resolve));
    const address = this.#server.address();
    if (address === null || typeof address === "string") throw new Error("no port");
    return { host: "127.0.0.1", port: address.port };
  }

  get open(): number {
    return this.#sockets.size;
  }

  async close(): Promise<void> {
    for (const socket of this.#sockets) socket.destroy();
    await new Promise((resolve) => this.#server.close(resolve));
  }
}

/** Answers politely, but for the questions named in `spoilt`. */
export function spoilt(changes: Readonly<Record<string, string | Script>>): Script {
  return (question, socket) => {
    const answer = changes[question] ?? POLITE[question];
    if (typeof answer === "function") answer(question, socket);
    else socket.write(answer ?? `${question.replace(" ", ": ")}\nRPRT -1\n`);
  };
}

export const eventually = (check: () => void): Promise<void> => vi.waitFor(check, { timeout: 10_000, interval: 2 });
