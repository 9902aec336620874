// `emberwire set-password`: the operator's password, or the viewer's, set or removed. The running daemon follows by itself.
// The password is never an argument, never printed, and never written as it is.

import { randomBytes } from "node:crypto";
import type { Command } from "commander";
import { passwordTrouble, SALT_BYTES, SHORTEST_PASSWORD, sealPassword } from "../access/password.ts";
import type { Register } from "../access/register.ts";
import { RequestError } from "../config/problem.ts";
import type { Role } from "../wire/access.ts";
import { type AccessFlags, accessRegister, changeRegister, withAccessFlags } from "./access-register.ts";
import { COMMAND_LINE } from "./flags.ts";
import { typedSecret } from "./typed-secret.ts";

type Flags = AccessFlags & { readonly viewer?: true; readonly remove?: true };

const EXAMPLE = `
Asks twice without showing what is typed; from a pipe it takes the first line. All logins of that role end. The running daemon
follows within seconds. With an operator password everybody needs the login to change anything, on this machine too.

Examples:
  sudo emberwire set-password --config /etc/emberwire/emberwire.toml
  sudo emberwire set-password --viewer --config /etc/emberwire/emberwire.toml    looking needs a login too
  sudo emberwire set-password --remove --config /etc/emberwire/emberwire.toml`;

/** Adds `set-password` to the program. */
export function register(program: Command): void {
  withAccessFlags(
    program.command("set-password").description("set, change or remove the operator's or the viewer's password"),
  )
    .option("--viewer", "the password that looking needs, instead of the operator's")
    .option("--remove", "remove it")
    .addHelpText("after", EXAMPLE)
    .action((flags: Flags, command: Command) => setPassword(flags, command));
}

async function setPassword(flags: Flags, command: Command): Promise<void> {
  const role: Role = flags.viewer === true ? "viewer" : "operator";
  const { file, known } = accessRegister(flags);
  const say = (line: string): void => command.configureOutput().writeOut?.(`${line}\n`);
  const refusal = orderOf(known, role, flags.remove === true);
  if (refusal !== null) throw refusal;
  if (flags.remove === true) {
    if (known[role] === null) {
      say(`There is no ${role} password.`);
      return;
    }
    changeRegister(file, (register) => ({ ...register, [role]: null }));
    say(`The ${role} password is removed and its logins end.`);
    return;
  }
  await keepPassword(
    file,
    role,
    await typedSecret(`New ${role} password`, { input: process.stdin, ask: (text) => process.stderr.write(text) }),
  );
  say(`The ${role} password is set; logins with the old one end. It is kept sealed in ${file}.`);
}

/** Seals a password and puts it into the register. @throws RequestError when it is too easy to guess or the file cannot be written */
async function keepPassword(file: string, role: Role, password: string): Promise<void> {
  const got = passwordTrouble(password);
  if (got !== null) {
    const expected = `at least ${SHORTEST_PASSWORD} characters, in one line; several words are better than one`;
    throw new RequestError([{ what: "password", where: "input", expected, got }]);
  }
  const sealed = await sealPassword(password, randomBytes(SALT_BYTES));
  changeRegister(file, (register) => ({ ...register, [role]: sealed }));
}

/** A viewer's password without an operator's would lock people out of looking while changing stands open. */
function orderOf(known: Register, role: Role, remove: boolean): RequestError | null {
  const problem = (expected: string, got: string): RequestError =>
    new RequestError([{ what: "set-password", where: COMMAND_LINE, expected, got }]);
  if (role === "viewer" && !remove && known.operator === null) return problem("an operator password first", "none yet");
  if (role === "operator" && remove && known.viewer !== null) {
    return problem("the viewer password removed first (--viewer --remove)", "one that is set");
  }
  return null;
}
