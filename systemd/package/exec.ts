// Runs a program on the host with a deadline and says plainly what went wrong. It never goes through a shell.

import { execFile } from "node:child_process";

/** How a program is run; `deadlineSeconds` kills it, so that no preparation step can hang a build. */
export type ExecOptions = {
  readonly deadlineSeconds: number;
  readonly cwd?: string;
  readonly env?: Readonly<Record<string, string>>;
  /** Goes to standard input. */
  readonly input?: string;
};

/** Standard output of a program that ended with status 0; rejects with its last lines otherwise. */
export function exec(program: string, args: readonly string[], options: ExecOptions): Promise<string> {
  return new Promise((resolve, reject) => {
    const child = execFile(
      program,
      [...args],
      {
        timeout: options.deadlineSeconds * 1000,
        killSignal: "SIGKILL",
        maxBuffer: 64 * 1024 * 1024,
        ...(options.cwd === undefined ? {} : { cwd: options.cwd }),
        env: { ...process.env, ...options.env },
      },
      (error, stdout, stderr) => {
        if (error === null) {
          resolve(stdout);
          return;
        }
        const cause =
          error.killed === true ? `no end within ${options.deadlineSeconds} s` : `status ${error.code ?? "?"}`;
        const said = `${stdout}\n${stderr}`.trim().split("\n").slice(-12).join("\n");
        reject(new Error(`${program} ${args.join(" ")}: ${cause}\n${said}`, { cause: error }));
      },
    );
    // A program that ends without reading its input breaks the pipe; its exit status says what matters.
    child.stdin?.on("error", () => undefined);
    child.stdin?.end(options.input ?? "");
  });
}
