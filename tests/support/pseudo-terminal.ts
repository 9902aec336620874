// The compiled program on a terminal of its own (util-linux `script`, which every Debian has), typed at as a person would: a line when
// its question stands there. What the terminal shows, echo included, is kept.

import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { readdirSync, readFileSync } from "node:fs";
import { resolve } from "node:path";
import { onTestFinished, vi } from "vitest";

const MAIN = resolve("dist/daemon/main.js");
const PATIENT = { timeout: 20_000, interval: 20 };
/** Printed behind the program's end: its status and how the terminal was left. */
const EPILOGUE = "echo status=$?; stty -a";

export type TerminalRun = {
  /** Waits until the terminal shows this, then types. */
  answer(question: RegExp, keys: string): Promise<void>;
  shown(question: RegExp): Promise<void>;
  /** Arguments and environment of everything that runs on this terminal just now. */
  processes(): string;
  /** Everything that was shown, the program's status, and whether the terminal echoes again. */
  end(): Promise<{ readonly screen: string; readonly status: number; readonly echoes: boolean }>;
};

/** Starts it; `words` must be free of what a shell minds. */
export function runOnTerminal(...words: readonly string[]): TerminalRun {
  const line = `${process.execPath} ${MAIN} ${words.join(" ")}; ${EPILOGUE}`;
  // The echo is the terminal's from the start; that it is not seen is the program's doing.
  const child = spawn("script", ["-q", "-E", "always", "-c", line, "/dev/null"], {
    stdio: ["pipe", "pipe", "inherit"],
  });
  onTestFinished(() => {
    child.kill("SIGKILL");
  });
  let screen = "";
  let failure: Error | null = null;
  child.stdout.on("data", (text: Buffer) => {
    screen += text.toString();
  });
  child.on("error", (error) => {
    failure = new Error(`this test needs a terminal from \`script\` (Debian: bsdutils): ${error.message}`);
  });
  const shown = (question: RegExp): Promise<void> =>
    vi.waitFor(() => {
      if (failure !== null) throw failure;
      if (!question.test(screen)) throw new Error(`the terminal does not show ${question}:\n${screen}`);
    }, PATIENT);
  return {
    shown,
    answer: async (question, keys) => {
      await shown(question);
      child.stdin.write(keys);
    },
    processes: () => below(child).map(wordsOf).join("\n"),
    end: async () => {
      await shown(/status=\d+[\s\S]*\becho\b/);
      const gone = child.exitCode === null ? once(child, "exit") : null;
      child.stdin.end();
      await gone;
      const [, status = "", settings = ""] = /status=(\d+)([\s\S]*)/.exec(screen) ?? [];
      return { screen, status: Number(status), echoes: !/-echo\b/.test(settings) };
    },
  };
}

/** The process and what it started, from the kernel's list (proc_pid_stat(5): field 4 is the parent). */
function below({ pid = 0 }: ChildProcess): readonly number[] {
  const parents = new Map<number, number>();
  for (const name of readdirSync("/proc").filter((entry) => /^\d+$/.test(entry))) {
    const stat = read(`/proc/${name}/stat`);
    parents.set(Number(name), Number(stat.slice(stat.lastIndexOf(")") + 2).split(" ")[1]));
  }
  const family = [pid];
  for (const member of family) for (const [child, parent] of parents) if (parent === member) family.push(child);
  return family;
}

const wordsOf = (pid: number): string =>
  `${read(`/proc/${pid}/cmdline`)}\n${read(`/proc/${pid}/environ`)}`.replaceAll("\0", " ");

function read(file: string): string {
  try {
    return readFileSync(file, "utf8");
  } catch {
    // It ended meanwhile.
    return "";
  }
}
