// The compiled program as a shell would run it: its words, its exit status, and a daemon to be watched and stopped.

import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { resolve } from "node:path";
import { createInterface } from "node:readline";
import { onTestFinished } from "vitest";

/** What a finished program said. */
export type Finished = { readonly out: string; readonly complaints: readonly string[]; readonly status: number | null };

const MAIN = resolve("dist/daemon/main.js");

function start(
  words: readonly string[],
  environment: Readonly<Record<string, string>> = {},
  input: "ignore" | "pipe" = "ignore",
): ChildProcess {
  const child = spawn(process.execPath, [MAIN, ...words], {
    stdio: [input, "pipe", "pipe"],
    env: { ...process.env, NOTIFY_SOCKET: undefined, ...environment },
  });
  onTestFinished(() => {
    child.kill("SIGKILL");
  });
  return child;
}

async function finish(child: ChildProcess): Promise<Finished> {
  let [out, err] = ["", ""];
  child.stdout?.on("data", (text: Buffer) => {
    out += text.toString();
  });
  child.stderr?.on("data", (text: Buffer) => {
    err += text.toString();
  });
  const [status] = (await once(child, "close")) as [number | null];
  return { out, complaints: err.split("\n").filter((line) => line !== ""), status };
}

/** Runs to its end. */
export function runProgram(...words: string[]): Promise<Finished> {
  return finish(start(words));
}

/** Runs to its end with `typed` on its standard input. */
export function runProgramTyping(typed: string, ...words: string[]): Promise<Finished> {
  const child = start(words, {}, "pipe");
  child.stdin?.on("error", () => {});
  child.stdin?.end(typed);
  return finish(child);
}

/** The program at a terminal of its own. */
export type Session = {
  /** Resolves when it has said this since the last `until`. */
  until(words: string): Promise<void>;
  type(keys: string): void;
  /** Everything it said, once it has ended. */
  end(): Promise<string>;
};

/** Runs at a pseudo-terminal that `script` of util-linux makes. */
export function atPty(...words: string[]): Session {
  const quoted = [process.execPath, MAIN, ...words].map((word) => `'${word}'`).join(" ");
  const child = spawn("script", ["--quiet", "--return", "--command", quoted, "/dev/null"], { stdio: "pipe" });
  onTestFinished(() => {
    child.kill("SIGKILL");
  });
  const ended = once(child, "close");
  let out = "";
  let from = 0;
  child.stdout.on("data", (text: Buffer) => {
    out += text.toString();
  });
  return {
    until: async (words) => {
      for (let at = -1; at < 0; ) {
        at = out.indexOf(words, from);
        if (at >= 0) from = at + words.length;
        else if ((await Promise.race([once(child.stdout, "data"), ended]))[0] === child.exitCode)
          throw new Error(`it ended before it said "${words}":\n${out}`);
      }
    },
    type: (keys) => void child.stdin.write(keys),
    end: async () => {
      await ended;
      return out;
    },
  };
}

export type Daemon = {
  readonly address: string;
  readonly pid: number;
  /** What it said before its address. */
  readonly warnings: readonly string[];
  /** Asks it to end by a signal; resolves with its status. */
  stop(signal?: NodeJS.Signals): Promise<number | null>;
};

/** Starts `run` and waits for the page's address. */
export function startDaemon(...words: string[]): Promise<Daemon> {
  return startDaemonIn({}, ...words);
}

/** The same with something added to its environment. */
export async function startDaemonIn(
  environment: Readonly<Record<string, string>>,
  ...words: string[]
): Promise<Daemon> {
  const child = start(["run", ...words], environment);
  const complaints: string[] = [];
  child.stderr?.on("data", (text: Buffer) => complaints.push(text.toString()));
  const warnings: string[] = [];
  for await (const line of createInterface({ input: child.stdout! })) {
    const address = /http:\/\/\S+\//.exec(line)?.[0];
    if (address === undefined) {
      warnings.push(line);
      continue;
    }
    child.stdout?.resume();
    return {
      address,
      pid: child.pid ?? 0,
      warnings,
      stop: async (signal = "SIGTERM") => {
        const gone = once(child, "exit") as Promise<[number | null]>;
        child.kill(signal);
        return (await gone)[0];
      },
    };
  }
  throw new Error(`the daemon ended before it served:\n${complaints.join("")}`);
}
