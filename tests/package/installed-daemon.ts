// The installed daemon in a clean root on simulated hardware, as its own user: started, watched over HTTP, told to stop as systemd
// tells it. It judges nothing.

import type { ChildProcess } from "node:child_process";
import { once } from "node:events";
import { createInterface } from "node:readline";
import { WebSocket } from "ws";
import type { ServerMessage } from "../../daemon/wire/frame.ts";
import { until, within } from "../kernel/host/deadline.ts";
import type { CleanRoot } from "./clean-root.ts";

/** Runs the words until they end; sends them SIGTERM when its own input ends. Says with what status they ended. */
const UNTIL_TOLD = [
  'exec 3<&0; "$@" < /dev/null & daemon=$!',
  "{ cat <&3 > /dev/null; kill -TERM $daemon; } &",
  'wait $daemon; echo "ended with status $?"',
].join("\n");
const AS_USER = ["setpriv", "--reuid=emberwire", "--regid=emberwire", "--init-groups"];

/** An emulated processor starts Node in some ten seconds when others are at work. */
const START_SECONDS = 120;
const STOP_SECONDS = 60;

export class InstalledDaemon {
  readonly address: string;
  /** Every line of both its streams so far. */
  readonly said: readonly string[];
  readonly #child: ChildProcess;

  private constructor(address: string, said: readonly string[], child: ChildProcess) {
    this.address = address;
    this.said = said;
    this.#child = child;
  }

  /** Resolves when it serves; rejects with what it said when it ended before. More flags go into `words`. */
  static async start(root: CleanRoot, ...words: readonly string[]): Promise<InstalledDaemon> {
    const run = ["emberwire", "run", "--simulated", "--listen", "127.0.0.1:0", ...words];
    const child = root.start("sh", "-c", UNTIL_TOLD, "until-told", ...AS_USER, ...run);
    const said: string[] = [];
    for (const input of [child.stdout!, child.stderr!])
      createInterface({ input }).on("line", (line) => {
        said.push(line);
      });
    child.stdin?.on("error", () => undefined);
    try {
      const address = await until(START_SECONDS, "the daemon's address", () => {
        if (child.exitCode !== null) return "";
        return said.map((line) => /http:\/\/\S+\//.exec(line)?.[0]).find((found) => found !== undefined);
      });
      if (address === "") throw new Error(`ended with status ${child.exitCode}`);
      return new InstalledDaemon(address, said, child);
    } catch (error) {
      child.kill("SIGKILL");
      throw new Error(`emberwire run: ${String(error)}\n${said.join("\n")}`, { cause: error });
    }
  }

  /** Resolves when a page's stream has shown this many seconds of the daemon's own time. */
  async live(seconds: number): Promise<void> {
    const socket = new WebSocket(`${this.address.replace("http", "ws")}api/v1/stream`);
    const times: number[] = [];
    socket.on("message", (data) => {
      const message = JSON.parse(String(data)) as ServerMessage;
      const at = message.type === "snapshot" ? message.frame.at_seconds : message.delta.at_seconds;
      if (at !== undefined) times.push(at);
    });
    socket.on("error", () => undefined);
    try {
      await until(START_SECONDS, `${seconds} s of frames`, () => times.at(-1)! - times[0]! >= seconds || undefined);
    } finally {
      socket.terminate();
    }
  }

  /** Ends it as systemd would; resolves to its exit status. */
  async stop(): Promise<number> {
    const ended = once(this.#child, "close");
    this.#child.stdin?.end();
    await within(STOP_SECONDS, "the daemon's end", ended);
    const status = /^ended with status (\d+)$/.exec(this.said.at(-1) ?? "")?.[1];
    if (status === undefined) throw new Error(`emberwire run: expected an end, got\n${this.said.join("\n")}`);
    return Number(status);
  }

  /** For who gives up on it. */
  kill(): void {
    this.#child.kill("SIGKILL");
  }
}
