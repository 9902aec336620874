// One Unix socket that speaks in lines: the common ground of QEMU's two control channels. It knows neither protocol.

import { connect, type Socket } from "node:net";
import { until } from "./deadline.ts";

export class LineSocket {
  private readonly socket: Socket;
  private readonly listeners = new Set<(line: string) => void>();
  private rest = "";
  private failure: Error | null = null;

  private constructor(socket: Socket) {
    this.socket = socket;
    socket.setEncoding("utf8");
    socket.on("data", (text: string) => this.take(text));
    socket.on("error", (error) => {
      this.failure = error;
    });
    socket.on("close", () => {
      this.failure ??= new Error("the emulator closed its control channel");
    });
  }

  /** Connects as soon as the emulator has made the socket. */
  static async open(path: string, seconds: number): Promise<LineSocket> {
    return await until(seconds, `control channel ${path}`, async () => {
      const socket = connect(path);
      await new Promise<void>((resolve, reject) => {
        socket.once("connect", resolve);
        socket.once("error", reject);
      });
      return new LineSocket(socket);
    });
  }

  private take(text: string): void {
    const lines = (this.rest + text).split("\n");
    this.rest = lines.pop() ?? "";
    for (const line of lines) for (const listener of this.listeners) listener(line);
  }

  onLine(listener: (line: string) => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }

  /** Throws when the other side is gone. */
  send(line: string): void {
    if (this.failure !== null) throw this.failure;
    this.socket.write(`${line}\n`);
  }

  close(): void {
    this.socket.destroy();
  }
}
