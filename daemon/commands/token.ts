// `emberwire token`: what programs come in with. A token is shown once, when it is made; only its hash is kept.

import { randomBytes } from "node:crypto";
import type { Command } from "commander";
import { systemClock } from "../../hardware/clock.ts";
import { MOST_TOKENS } from "../access/register.ts";
import { drawToken, hashSecret, SCOPES, type Scope, TOKEN_NAME } from "../access/token.ts";
import { RequestError } from "../config/problem.ts";
import { type AccessFlags, accessRegister, changeRegister, withAccessFlags } from "./access-register.ts";
import { writeJson } from "./figures.ts";
import { COMMAND_LINE } from "./flags.ts";

const EXAMPLE = `
Scopes: read (state, stream, history, metrics), acknowledge (alarms). A program sends it as "Authorization: Bearer TOKEN".
No token can reset, bypass or move a permit line.

Examples:
  sudo emberwire token add shack-display --scope read --config /etc/emberwire/emberwire.toml
  sudo emberwire token add pager --scope read,acknowledge --config /etc/emberwire/emberwire.toml
  sudo emberwire token list --config /etc/emberwire/emberwire.toml
  sudo emberwire token remove pager --config /etc/emberwire/emberwire.toml`;

/** Adds `token` to the program. */
export function register(program: Command): void {
  const token = program.command("token").description("look after the tokens of programs").addHelpText("after", EXAMPLE);
  withAccessFlags(token.command("add").description("make a token for a program and show it once"))
    .argument("<name>", "what the record calls the program")
    .option("--scope <scopes>", `what it may do: ${SCOPES.join(", ")}, separated by commas`, "read")
    .addHelpText("after", EXAMPLE)
    .action((name: string, flags: AccessFlags & { scope: string }, command: Command) => add(name, flags, command));
  withAccessFlags(token.command("list").description("the tokens there are; never their secrets"))
    .option("--json", "print JSON")
    .addHelpText("after", EXAMPLE)
    .action((flags: AccessFlags & { json?: true }, command: Command) => list(flags, command));
  withAccessFlags(token.command("remove").description("withdraw a program's token"))
    .argument("<name>", "the program's name")
    .addHelpText("after", EXAMPLE)
    .action((name: string, flags: AccessFlags, command: Command) => remove(name, flags, command));
}

const refused = (what: string, expected: string, got: string): RequestError =>
  new RequestError([{ what, where: COMMAND_LINE, expected, got }]);

async function add(name: string, flags: AccessFlags & { scope: string }, command: Command): Promise<void> {
  if (!TOKEN_NAME.test(name)) throw refused("name", "1 to 40 letters, digits, or . _ -", JSON.stringify(name));
  const scopes = scopesFrom(flags.scope);
  const { file, known } = accessRegister(flags);
  if (known.tokens.some((token) => token.name === name))
    throw refused("name", "a new one (or remove the old token first)", name);
  if (known.tokens.length >= MOST_TOKENS) throw refused("token", `at most ${MOST_TOKENS}`, "one more");
  const secret = drawToken(randomBytes);
  const madeWallSeconds = Math.floor((await systemClock()).wallSeconds());
  const token = { name, scopes, hash: hashSecret(secret) ?? "", madeWallSeconds };
  changeRegister(file, (register) => ({ ...register, tokens: [...register.tokens, token] }));
  // The secret alone goes to standard output, so that it can be piped to where it is kept.
  process.stderr.write(`Token ${name} may ${scopes.join(" and ")}. It is shown this once:\n`);
  command.configureOutput().writeOut?.(`${secret}\n`);
}

function list(flags: AccessFlags & { json?: true }, command: Command): void {
  const tokens = accessRegister(flags).known.tokens.map(({ name, scopes, madeWallSeconds }) => ({
    name,
    scopes,
    made: new Date(madeWallSeconds * 1000).toISOString().slice(0, 10),
  }));
  if (flags.json === true) writeJson(command, { tokens });
  else {
    const lines = tokens.map(({ name, scopes, made }) => `${name}  ${scopes.join(", ")}  made ${made}`);
    command.configureOutput().writeOut?.(`${lines.length === 0 ? "There are no tokens." : lines.join("\n")}\n`);
  }
}

function remove(name: string, flags: AccessFlags, command: Command): void {
  const { file, known } = accessRegister(flags);
  if (!known.tokens.some((token) => token.name === name)) {
    const names = known.tokens.map((token) => token.name).join(", ");
    throw refused("name", names === "" ? "a token; there are none" : `one of ${names}`, name);
  }
  changeRegister(file, (register) => ({ ...register, tokens: register.tokens.filter((token) => token.name !== name) }));
  command.configureOutput().writeOut?.(`The token ${name} is withdrawn.\n`);
}

function scopesFrom(text: string): readonly Scope[] {
  const asked = text.split(",").map((word) => word.trim());
  const stranger = asked.find((word) => !SCOPES.some((scope) => scope === word));
  if (stranger !== undefined)
    throw refused("--scope", `${SCOPES.join(", ")}, separated by commas`, JSON.stringify(stranger));
  return SCOPES.filter((scope) => asked.includes(scope));
}
