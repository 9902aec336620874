// One TCP connection to a rig-control server: one question in flight, each with a deadline. After anything unexpected (late, too
// long, not asked for, closed) it is dead for good, so that no answer is ever taken for another question's.

import { connect, type Socket } from "node:net";
import type { Cancel, Clock } from "../../../hardware/ports.ts";
import { type Answer, AnswerReader, type Question, questionText } from "./protocol.ts";

export type Server = { readonly host: string; readonly port: number };

/** A rig on a slow line needs some tenths of a second; Hamlib's own retries can take some seconds. */
const ANSWER_SECONDS = 3;
const CONNECT_SECONDS = 3;

type Asked = {
  readonly reader: AnswerReader;
  readonly settle: (answer: Answer) => void;
  readonly fail: (error: Error) => void;
};

export class Connection {
  readonly #socket: Socket;
  readonly #clock: Clock;
  #asked: Asked | null = null;
  #trouble: Error | null = null;

  /** `signal` ends it at any time, also while it is being made. @throws Error in words when nobody answers in time */
  static open({ host, port }: Server, clock: Clock, signal: AbortSignal): Promise<Connection> {
    return new Promise((resolve, reject) => {
      const socket = connect({ host, port, noDelay: true, signal });
      const fail = (error: Error): void => {
        cancel();
        socket.destroy();
        reject(error);
      };
      const cancel = clock.after(CONNECT_SECONDS, () => fail(new Error(`no connection within ${CONNECT_SECONDS} s`)));
      socket.once("error", (error: NodeJS.ErrnoException) => fail(new Error(connectWords(error))));
      socket.once("connect", () => {
        cancel();
        socket.removeAllListeners("error");
        resolve(new Connection(socket, clock));
      });
    });
  }

  private constructor(socket: Socket, clock: Clock) {
    this.#socket = socket;
    this.#clock = clock;
    socket.on("data", (piece) => this.#hear(piece));
    socket.on("error", (error) => this.#end(new Error(connectWords(error))));
    socket.on("end", () => this.#end(new Error("the server closed the connection")));
    socket.on("close", () => this.#end(new Error("the server closed the connection")));
  }

  /** False once anything went wrong; then every question fails with the same error. */
  get alive(): boolean {
    return this.#trouble === null;
  }

  /**
   * Asks and waits for the answer, which may be one with an error's status.
   * @throws Error in words when there is none in time or the connection is dead
   */
  ask(question: Question): Promise<Answer> {
    if (this.#trouble !== null) return Promise.reject(this.#trouble);
    if (this.#asked !== null) return Promise.reject(new Error("one question at a time"));
    return new Promise((resolve, reject) => {
      const late = new Error(`no answer to ${question.command} within ${ANSWER_SECONDS} s`);
      const cancel: Cancel = this.#clock.after(ANSWER_SECONDS, () => this.#end(late));
      const done = (): void => {
        cancel();
        this.#asked = null;
      };
      this.#asked = {
        reader: new AnswerReader(question),
        settle: (answer) => {
          done();
          resolve(answer);
        },
        fail: (error) => {
          done();
          reject(error);
        },
      };
      this.#socket.write(questionText(question));
    });
  }

  close(): void {
    this.#end(new Error("the link was closed"));
  }

  #hear(piece: Buffer): void {
    // One status line may follow the answer to chk_vfo; anything else that nobody asked for is of no rigctld.
    if (this.#asked === null) {
      if (!/^RPRT 0\r?\n$/.test(piece.toString("latin1"))) this.#end(new Error("it speaks without being asked"));
      return;
    }
    try {
      const answer = this.#asked.reader.take(piece);
      if (answer !== null) this.#asked.settle(answer);
    } catch (error) {
      this.#end(error instanceof Error ? error : new Error(String(error)));
    }
  }

  #end(error: Error): void {
    if (this.#trouble !== null) return;
    this.#trouble = error;
    this.#socket.destroy();
    this.#asked?.fail(error);
  }
}

function connectWords(error: NodeJS.ErrnoException): string {
  switch (error.code) {
    case "ECONNREFUSED":
      return "nothing listens there";
    case "ENOTFOUND":
    case "EAI_AGAIN":
      return "the host's name is not known";
    case "EHOSTUNREACH":
    case "ENETUNREACH":
      return "the host cannot be reached";
    case "ETIMEDOUT":
      return "the host does not answer";
    default:
      // The system's own words name addresses, which this text must not carry to whoever looks at the page.
      return `the connection fails (${error.code ?? "unknown"})`;
  }
}
