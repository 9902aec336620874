// A password as it is kept: scrypt with a salt of its own, in the PHC string format, so that the costs travel with it.
// It never keeps, logs or returns a password.

import { type BinaryLike, scrypt, timingSafeEqual } from "node:crypto";
import { LONGEST_PASSWORD } from "../wire/access.ts";
import type { Draw } from "./token.ts";

/** log2 N, block size, parallelism. */
type Cost = { readonly ln: number; readonly r: number; readonly p: number };

/**
 * One of the equivalent minimum settings of OWASP's Password Storage Cheat Sheet, section scrypt (N = 2^15, r = 8, p = 3; from
 * memory; the edition at hand asks for p = 2 at this N). Of the list it is the one whose 32 MiB a small board can spare.
 */
const COST: Cost = { ln: 15, r: 8, p: 3 };
/** Costs that are computed at all: a spoilt file must not be able to take the machine's memory. */
const HIGHEST: Cost = { ln: 18, r: 16, p: 16 };
const HASH_BYTES = 32;
export const SALT_BYTES = 16;

export const SHORTEST_PASSWORD = 10;

/** `$scrypt$ln=15,r=8,p=3$salt$hash`, base64 without padding. */
const PHC = /^\$scrypt\$ln=(\d{1,2}),r=(\d{1,2}),p=(\d{1,2})\$([A-Za-z0-9+/]{16,86})\$([A-Za-z0-9+/]{43})$/;

const text = (bytes: Buffer): string => bytes.toString("base64").replace(/=+$/, "");

/** What is wrong with a password that somebody wants to set; null when nothing is. */
export function passwordTrouble(password: string): string | null {
  const length = [...password].length;
  if (length < SHORTEST_PASSWORD) return `${length} characters`;
  if (password.length > LONGEST_PASSWORD) return "a longer one";
  if (/\p{Cc}/u.test(password)) return "one with a control character";
  if (new Set(password).size < 4) return "one of fewer than four different characters";
  return null;
}

/** Makes what is kept of a password; `salt` is fresh randomness of `SALT_BYTES`. */
export async function sealPassword(password: string, salt: Buffer): Promise<string> {
  const { ln, r, p } = COST;
  return `$scrypt$ln=${ln},r=${r},p=${p}$${text(salt)}$${text(await derive(password, salt, COST))}`;
}

/** What no password fits, at the cost of one that some does: an unset password must not be told by its answer's time. */
export function decoySeal(draw: Draw): string {
  const { ln, r, p } = COST;
  return `$scrypt$ln=${ln},r=${r},p=${p}$${text(draw(SALT_BYTES))}$${text(draw(HASH_BYTES))}`;
}

/** Is this text something that `sealPassword` could have made, at a cost that can be borne? */
export function isSealed(sealed: string): boolean {
  return read(sealed) !== null;
}

/** Whether the password is the one that was sealed; takes the same time for every password. */
export async function fitsPassword(password: string, sealed: string): Promise<boolean> {
  const known = read(sealed);
  if (known === null) return false;
  return timingSafeEqual(await derive(password, known.salt, known.cost), known.hash);
}

function read(sealed: string): { readonly cost: Cost; readonly salt: Buffer; readonly hash: Buffer } | null {
  const [, ln, r, p, salt, hash] = PHC.exec(sealed) ?? [];
  if (salt === undefined || hash === undefined) return null;
  const cost = { ln: Number(ln), r: Number(r), p: Number(p) };
  const bearable = (["ln", "r", "p"] as const).every((name) => cost[name] >= 1 && cost[name] <= HIGHEST[name]);
  return bearable ? { cost, salt: Buffer.from(salt, "base64"), hash: Buffer.from(hash, "base64") } : null;
}

/** Off the thread, in libuv's pool. Keyboards write one character in several ways; NIST SP 800-63B asks for one of them (NFKC). */
function derive(password: string, salt: BinaryLike, { ln, r, p }: Cost): Promise<Buffer> {
  const N = 2 ** ln;
  const options = { N, r, p, maxmem: 128 * r * (N + p + 2) + 1024 * 1024 };
  return new Promise((resolve, reject) => {
    scrypt(password.normalize("NFKC"), salt, HASH_BYTES, options, (error, key) => {
      if (error === null) resolve(key);
      else reject(error);
    });
  });
}
