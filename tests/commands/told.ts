// Runs one command as the shell would, without a process: what it printed, its exit status, the problems of a refused request.
import { Command } from "commander";
import { describeProblem, RequestError } from "../../daemon/config/problem.ts";

/** What a command said. `status` is 2 for a refused request, as the shell makes it. */
export type Told = { readonly out: string; readonly problems: readonly string[]; readonly status: number };

/** Parses `line` with a fresh program that knows one command. */
export async function told(register: (program: Command) => void, line: readonly string[]): Promise<Told> {
  let out = "";
  let complaint = "";
  const program = new Command("emberwire").exitOverride().configureOutput({
    writeOut: (text) => {
      out += text;
    },
    writeErr: (text) => {
      complaint += text;
    },
  });
  register(program);
  const before = process.exitCode;
  process.exitCode = undefined;
  try {
    await program.parseAsync([...line], { from: "user" });
    return { out, problems: [], status: Number(process.exitCode ?? 0) };
  } catch (error) {
    if (error instanceof RequestError) return { out, problems: error.problems.map(describeProblem), status: 2 };
    if (error instanceof Error && "exitCode" in error) {
      const asked = error.exitCode === 0;
      return { out, problems: asked ? [] : [complaint.trim()], status: asked ? 0 : 2 };
    }
    throw error;
  } finally {
    process.exitCode = before;
  }
}
