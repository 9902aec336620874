// Secrets that a machine remembers (API tokens, session ids, the local key): 256 random bits, kept as a hash only.
// A plain hash is enough, because nobody can guess what was drawn and not chosen.

import { createHash, timingSafeEqual } from "node:crypto";

/** Draws so many random bytes. */
export type Draw = (bytes: number) => Buffer;

const SECRET_BYTES = 32;
/** 256 bits in base64url. */
const SECRET = /^[A-Za-z0-9_-]{43}$/;
/** Says to people, and to programs that look for leaked secrets, what this is. */
const TOKEN_PREFIX = "emberwire_";

/** What a program with a token may do; nothing in this list moves a permit line. */
export const SCOPES = ["read", "acknowledge"] as const;
export type Scope = (typeof SCOPES)[number];

/** One token as it is kept. */
export type StoredToken = {
  readonly name: string;
  readonly scopes: readonly Scope[];
  readonly hash: string;
  readonly madeWallSeconds: number;
};

export const TOKEN_NAME = /^[A-Za-z0-9][A-Za-z0-9._-]{0,39}$/;

/** A new secret; what is kept of it is `hashSecret`. */
export function drawSecret(draw: Draw): string {
  return draw(SECRET_BYTES).toString("base64url");
}

/** A new token's secret, as its owner sees it once. */
export function drawToken(draw: Draw): string {
  return `${TOKEN_PREFIX}${drawSecret(draw)}`;
}

/** SHA-256 in base64url; null for what cannot be a secret of ours. */
export function hashSecret(secret: string): string | null {
  const bare = secret.startsWith(TOKEN_PREFIX) ? secret.slice(TOKEN_PREFIX.length) : secret;
  return SECRET.test(bare) ? createHash("sha256").update(bare).digest("base64url") : null;
}

/** Compares two hashes in a time that says nothing of where they differ. */
export function sameHash(one: string, other: string): boolean {
  const [a, b] = [Buffer.from(one), Buffer.from(other)];
  return a.length === b.length && timingSafeEqual(a, b);
}
