// Passwords as they are kept: against the scrypt vectors of RFC 7914 by way of Node, and every way a sealed text can be spoilt.

import { randomBytes, scryptSync } from "node:crypto";
import { describe, expect, it } from "vitest";
import { decoySeal, fitsPassword, isSealed, passwordTrouble, sealPassword } from "../../daemon/access/password.ts";
import { cheapSeal } from "../support/cheap-seal.ts";

const PASSWORD = "four wires in the orchard";

describe("a sealed password", () => {
  it("fits itself and nothing else, and tells nothing", async () => {
    const sealed = cheapSeal(PASSWORD);
    expect(await fitsPassword(PASSWORD, sealed)).toBe(true);
    expect(await fitsPassword(`${PASSWORD} `, sealed)).toBe(false);
    expect(await fitsPassword("", sealed)).toBe(false);
  });

  // OWASP Password Storage Cheat Sheet, scrypt: N = 2^15 (32 MiB), r = 8; p = 2 in the edition read, 3 in the later one (memory).
  it("is plain scrypt, which any other library can check, at the cost that OWASP asks for", async () => {
    const salt = randomBytes(16);
    const sealed = await sealPassword(PASSWORD, salt);
    const hash = scryptSync(PASSWORD, salt, 32, { N: 2 ** 15, r: 8, p: 3, maxmem: 64 * 1024 * 1024 });
    const bare = (bytes: Buffer): string => bytes.toString("base64").replace(/=+$/, "");
    expect(sealed).toBe(`$scrypt$ln=15,r=8,p=3$${bare(salt)}$${bare(hash)}`);
    expect(isSealed(sealed)).toBe(true);
  });

  // RFC 7914, section 12, third vector (N = 16384, r = 8, p = 1): its first 32 bytes.
  it("reads costs from the text: a vector of RFC 7914", async () => {
    const hash = Buffer.from("7023bdcb3afd7348461c06cd81fd38ebfda8fbba904f8e3ea9b543f6545da1f2", "hex");
    const b64 = (bytes: Buffer): string => bytes.toString("base64").replace(/=+$/, "");
    // The vector's salt, "SodiumChloride", is shorter than any of ours; the form asks for 12 bytes at least.
    expect(
      await fitsPassword("pleaseletmein", `$scrypt$ln=14,r=8,p=1$${b64(Buffer.from("SodiumChloride"))}$${b64(hash)}`),
    ).toBe(true);
  });

  it("takes one character written in two ways as one (NFKC)", async () => {
    expect(await fitsPassword("cafe\u0301 by the mast", cheapSeal("caf\u00e9 by the mast"))).toBe(true);
  });

  it.each([
    "",
    "plain text",
    "$scrypt$ln=30,r=8,p=3$MDEyMzQ1Njc4OWFiY2RlZg$3LrGd0JWqYkbZlWXX2s5oGhkJt0HhxKx1T1zMb3nQbs",
    "$scrypt$ln=15,r=8,p=3$MDEyMzQ1Njc4OWFiY2RlZg$short",
    "$argon2id$v=19$m=19456,t=2,p=1$MDEyMzQ1Njc4OWFiY2RlZg$3LrGd0JWqYkbZlWXX2s5oGhkJt0HhxKx1T1zMb3nQbs",
  ])("%j is none, and nothing fits it", async (text) => {
    expect(isSealed(text)).toBe(false);
    expect(await fitsPassword(PASSWORD, text)).toBe(false);
  });

  it("has a decoy of the same cost", () => {
    const decoy = decoySeal(randomBytes);
    expect(isSealed(decoy)).toBe(true);
    expect(decoy.split("$")[2]).toBe("ln=15,r=8,p=3");
    expect(decoySeal(randomBytes)).not.toBe(decoy);
  });
});

describe("a password that somebody wants to set", () => {
  it("may be several words in any script", () => {
    expect(passwordTrouble(PASSWORD)).toBeNull();
    expect(passwordTrouble("четыре провода")).toBeNull();
  });
  it.each(["", "too short", "aaaaaaaaaaaaaaa", "line\nof two lines", "x".repeat(300)])("may not be %j", (password) => {
    expect(passwordTrouble(password)).not.toBeNull();
  });
});
