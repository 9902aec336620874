// Who may come in, as it is kept on the disk: the two passwords and the tokens, all of them sealed or hashed.
// It reads and writes; who may do what is decided elsewhere.

import type { Role } from "../wire/access.ts";
import { isSealed } from "./password.ts";
import { readPrivate, writePrivate } from "./private-file.ts";
import { SCOPES, type StoredToken, TOKEN_NAME } from "./token.ts";

/** Sealed passwords, null where none is set, and the tokens. */
export type Register = { readonly [role in Role]: string | null } & { readonly tokens: readonly StoredToken[] };

export const EMPTY_REGISTER: Register = { operator: null, viewer: null, tokens: [] };
export const MOST_TOKENS = 32;

const VERSION = 1;

/** An empty register where there is no file. @throws Error when it cannot be read or is not one of ours */
export function readRegister(file: string): Register {
  const text = readPrivate(file);
  return text === null ? EMPTY_REGISTER : parseRegister(text);
}

/** @throws Error of the system when it cannot be written */
export function writeRegister(file: string, { operator, viewer, tokens }: Register): void {
  writePrivate(file, `${JSON.stringify({ version: VERSION, operator, viewer, tokens }, null, 2)}\n`);
}

function parseRegister(text: string): Register {
  const value: unknown = JSON.parse(text);
  const given = (typeof value === "object" && value !== null ? value : {}) as Readonly<Record<string, unknown>>;
  if (given["version"] !== VERSION) throw new Error(`expected version ${VERSION}, got ${String(given["version"])}`);
  const password = (role: Role): string | null => {
    const sealed = given[role] ?? null;
    if (sealed === null || (typeof sealed === "string" && isSealed(sealed))) return sealed;
    throw new Error(`${role}: expected a sealed password`);
  };
  const tokens = given["tokens"];
  if (!Array.isArray(tokens) || tokens.length > MOST_TOKENS) throw new Error(`tokens: expected at most ${MOST_TOKENS}`);
  return { operator: password("operator"), viewer: password("viewer"), tokens: tokens.map(parseToken) };
}

function parseToken(value: unknown): StoredToken {
  const { name, scopes, hash, madeWallSeconds } = (value ?? {}) as { readonly [key in keyof StoredToken]?: unknown };
  const known = SCOPES.filter((scope) => Array.isArray(scopes) && scopes.includes(scope));
  const sound = typeof name === "string" && TOKEN_NAME.test(name) && typeof hash === "string" && hash.length === 43;
  if (!sound || typeof madeWallSeconds !== "number" || known.length === 0)
    throw new Error("tokens: expected sound ones");
  return { name, scopes: known, hash, madeWallSeconds };
}
