// The gate with its real files: who may what, how logins begin and end, and that what is withdrawn is gone.

import { randomBytes } from "node:crypto";
import { existsSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { beforeEach, describe, expect, it } from "vitest";
import type { Credentials, Right } from "../../daemon/access/caller.ts";
import { Gate } from "../../daemon/access/gate.ts";
import { EMPTY_REGISTER, type Register, readRegister, writeRegister } from "../../daemon/access/register.ts";
import { IDLE_SECONDS, LONGEST_SECONDS, MOST_SESSIONS } from "../../daemon/access/sessions.ts";
import { drawToken, hashSecret } from "../../daemon/access/token.ts";
import { accessFiles } from "../../daemon/folder.ts";
import { Audience } from "../../daemon/outputs/audience.ts";
import { cheapSeal } from "../support/cheap-seal.ts";
import { testFolder } from "../support/folder.ts";
import { ManualClock } from "../support/manual-clock.ts";

const PASSWORD = "four wires in the orchard";
const OTHER = "a horse on the tower roof";
const sealed = cheapSeal(PASSWORD);
const sealedOther = cheapSeal(OTHER);

let clock: ManualClock;
let folder: string;
let notes: string[];
let changes: number;
beforeEach(() => {
  clock = new ManualClock();
  folder = testFolder();
  notes = [];
  changes = 0;
});

const NOBODY: Credentials = { address: "10.0.0.7", local: false, near: false, session: null, bearer: null };
const HERE: Credentials = { ...NOBODY, address: "127.0.0.1", local: true, near: true };

function gate(): Gate {
  const files = accessFiles(folder, true);
  const made = new Gate({
    clock,
    draw: randomBytes,
    files,
    note: (tag, text, by) => notes.push(`${tag} ${by}: ${text}`),
  });
  made.onChange(() => {
    changes += 1;
  });
  return made;
}
const keep = (register: Partial<Register>): void =>
  writeRegister(accessFiles(folder, true).register, { ...EMPTY_REGISTER, ...register });
const rightsOf = (one: Gate, credentials: Credentials): readonly Right[] => [...one.caller(credentials).rights];
async function loggedIn(one: Gate, from = NOBODY, role: "operator" | "viewer" = "operator"): Promise<string> {
  const login = await one.login(role, role === "operator" ? PASSWORD : OTHER, from);
  return login.kind === "in" ? login.secret : expect.unreachable();
}

describe("rights", () => {
  const ALL = ["read", "acknowledge", "operate"];
  it("without a password: this machine all, the network looks", () => {
    const one = gate();
    expect(rightsOf(one, HERE)).toEqual(ALL);
    expect(rightsOf(one, NOBODY)).toEqual(["read"]);
  });

  it("with an operator password: nobody changes anything without it, this machine neither", async () => {
    keep({ operator: sealed });
    const one = gate();
    expect(rightsOf(one, HERE)).toEqual(["read"]);
    expect(rightsOf(one, NOBODY)).toEqual(["read"]);
    const session = await loggedIn(one);
    expect(one.caller({ ...NOBODY, session })).toMatchObject({
      who: "operator",
      role: "operator",
      rights: new Set(ALL),
    });
  });

  it("with a viewer password: nobody looks without one of the two", async () => {
    keep({ operator: sealed, viewer: sealedOther });
    const one = gate();
    expect(rightsOf(one, HERE)).toEqual([]);
    const session = await loggedIn(one, NOBODY, "viewer");
    expect(rightsOf(one, { ...NOBODY, session })).toEqual(["read"]);
  });

  it("of a token are its scopes; an unknown one has none, from this machine neither", () => {
    const secret = drawToken(randomBytes);
    keep({
      operator: sealed,
      tokens: [{ name: "pager", scopes: ["acknowledge"], hash: hashSecret(secret) ?? "", madeWallSeconds: 0 }],
    });
    const one = gate();
    expect(one.caller({ ...NOBODY, bearer: secret })).toMatchObject({
      who: "token pager",
      rights: new Set(["acknowledge"]),
    });
    for (const bearer of [drawToken(randomBytes), `${secret}x`, "emberwire_", ""]) {
      expect(one.caller({ ...HERE, bearer })).toMatchObject({ refused: true, rights: new Set() });
    }
  });

  it("of the local key are all, from this machine only", () => {
    keep({ operator: sealed, viewer: sealedOther });
    const one = gate();
    const bearer = readFileSync(accessFiles(folder, true).localKey, "utf8").trim();
    expect(one.caller({ ...HERE, bearer })).toMatchObject({ who: "local command", rights: new Set(ALL) });
    expect(one.caller({ ...NOBODY, bearer })).toMatchObject({ refused: true, rights: new Set() });
  });
});

describe("a login", () => {
  it("needs the very password of a role that has one, and answers alike otherwise", async () => {
    keep({ operator: sealed });
    const one = gate();
    expect(await one.login("operator", OTHER, NOBODY)).toEqual({ kind: "wrong" });
    expect(await one.login("viewer", OTHER, NOBODY)).toEqual({ kind: "wrong" });
    expect(notes).toEqual(["login-refused null: a wrong operator password from 10.0.0.7"]);
    clock.advance(61);
    expect(notes.at(-1)).toBe("login-refused null: a wrong viewer password from 10.0.0.7");
    await loggedIn(one);
    expect(notes.at(-1)).toBe("login operator: the operator logged in (from 10.0.0.7)");
  });

  it("may be tried a few times only", async () => {
    keep({ operator: sealed });
    const one = gate();
    for (let tries = 0; tries < 5; tries += 1) await one.login("operator", "wrong", NOBODY);
    expect(await one.login("operator", PASSWORD, NOBODY)).toEqual({ kind: "wait", seconds: 30 });
    clock.advance(30);
    expect(await one.login("operator", PASSWORD, NOBODY)).toMatchObject({ kind: "in" });
  });

  it("is computed one at a time, a few wait, a crowd is turned away", async () => {
    keep({ operator: sealed });
    const one = gate();
    const crowd = Array.from({ length: 12 }, (_, host) =>
      one.login("operator", "wrong", { address: `10.0.1.${host}`, local: false }),
    );
    const kinds = (await Promise.all(crowd)).map(({ kind }) => kind);
    expect(kinds.filter((kind) => kind === "wrong")).toHaveLength(5);
    expect(kinds.filter((kind) => kind === "busy")).toHaveLength(7);
  });

  it("gives an id of its own each time, of which only a hash is kept", async () => {
    keep({ operator: sealed });
    const one = gate();
    const [first, second] = [await loggedIn(one), await loggedIn(one)];
    expect(first).not.toBe(second);
    const kept = readFileSync(accessFiles(folder, true).sessions, "utf8");
    expect(kept).not.toContain(first);
    expect(kept).not.toContain(PASSWORD);
  });
});

describe("a session", () => {
  const stands = (one: Gate, session: string): boolean => one.caller({ ...NOBODY, session }).role !== null;
  it("outlives a restart, not a reboot, and not a spoilt file", async () => {
    keep({ operator: sealed });
    const session = await loggedIn(gate());
    expect(stands(gate(), session)).toBe(true);
    const { sessions } = accessFiles(folder, true);
    const kept = readFileSync(sessions, "utf8");
    writeFileSync(sessions, kept.replace(clock.bootId, "another boot"));
    expect(stands(gate(), session)).toBe(false);
    writeFileSync(sessions, kept.slice(0, 40));
    expect(stands(gate(), session)).toBe(false);
  });

  it("ends by logout, everywhere by that kind of logout, and says so to open streams", async () => {
    keep({ operator: sealed });
    const one = gate();
    const [first, second, third] = [await loggedIn(one), await loggedIn(one), await loggedIn(one)];
    one.logout(first, false, "10.0.0.7");
    expect([first, second, third].map((session) => stands(one, session))).toEqual([false, true, true]);
    one.logout(second, true, "10.0.0.7");
    expect([second, third].map((session) => stands(one, session))).toEqual([false, false]);
    expect(changes).toBeGreaterThanOrEqual(2);
  });

  it("ends when its password changes or goes, within seconds, while others stay", async () => {
    keep({ operator: sealed, viewer: sealedOther });
    const one = gate();
    const [operator, viewer] = [await loggedIn(one), await loggedIn(one, NOBODY, "viewer")];
    keep({ operator: cheapSeal("another one altogether"), viewer: sealedOther });
    clock.advance(2);
    expect(stands(one, operator)).toBe(false);
    expect(stands(one, viewer)).toBe(true);
    // A session of the old password does not come back with the file either.
    expect(stands(gate(), operator)).toBe(false);
  });

  it("gives way when there are too many, the one unused longest first", async () => {
    keep({ operator: sealed });
    const one = gate();
    const first = await loggedIn(one, HERE);
    clock.advance(10);
    for (let count = 0; count < MOST_SESSIONS; count += 1) await loggedIn(one, HERE);
    expect(stands(one, first)).toBe(false);
  });

  it("ends the stream that it opened when its life is over, although the stream is a use of it", async () => {
    keep({ operator: sealed, viewer: sealedOther });
    const one = gate();
    const session = await loggedIn(one, NOBODY, "viewer");
    const audience = new Audience({ clock, mostReaders: 1, backlogBytes: 1, snapshot: () => null });
    const said: string[] = [];
    const reader = {
      waitingBytes: 0,
      send: () => {},
      probe: () => true,
      end: (why: string) => said.push(why),
      cutOff: () => {},
    };
    const stillWelcome = (): boolean => one.caller({ ...NOBODY, session }).rights.has("read");
    audience.join(reader, { address: NOBODY.address, stillWelcome, held: null, whole: false });
    // Far enough apart for a quick test, near enough to be a use of the session each time.
    for (let passed = 0; passed + IDLE_SECONDS / 2 < LONGEST_SECONDS; passed += IDLE_SECONDS / 2) {
      expect(said).toEqual([]);
      clock.pass(IDLE_SECONDS / 2);
      clock.advance(0);
    }
    clock.pass(IDLE_SECONDS / 2);
    clock.advance(0);
    expect(said).toContain("login ended");
    audience.close();
  });

  it("cannot be chosen by whoever brings an id", () => {
    keep({ operator: sealed });
    const one = gate();
    for (const session of ["A".repeat(43), hashSecret("A".repeat(43)) ?? "", "__proto__", ""])
      expect(stands(one, session)).toBe(false);
  });
});

describe("the files", () => {
  it("are readable by their owner only, and nothing else is left beside them", async () => {
    keep({ operator: sealed });
    await loggedIn(gate());
    const { register, sessions, localKey } = accessFiles(folder, true);
    for (const file of [register, sessions, localKey]) expect(statSync(file).mode & 0o777).toBe(0o600);
    expect(readdirSync(folder)).toHaveLength(3);
  });

  it.each(["{", "[]", '{"version":2}', '{"version":1,"operator":"secret","tokens":[]}', '{"version":1,"tokens":[{}]}'])(
    "a register of %j lets nobody in, and the record says so once",
    async (text) => {
      keep({ operator: sealed });
      const one = gate();
      const session = await loggedIn(one);
      writeFileSync(accessFiles(folder, true).register, text);
      clock.advance(10);
      expect(one.standing).toEqual({ operator: false, viewer: false, locked: true });
      expect(rightsOf(one, { ...HERE, session })).toEqual([]);
      expect(notes.filter((note) => note.startsWith("access-file"))).toHaveLength(1);
      keep({ operator: sealed });
      clock.advance(2);
      expect(one.standing.locked).toBe(false);
    },
  );

  it("a folder that cannot be written costs the local key and the memory of logins, nothing else", async () => {
    keep({ operator: sealed });
    const { register } = accessFiles(folder, true);
    const text = readFileSync(register, "utf8");
    rmSync(folder, { recursive: true });
    const one = gate();
    expect(notes.join()).toContain("local key: ENOENT");
    expect(rightsOf(one, HERE)).toHaveLength(3);
    expect(text).toContain("$scrypt$");
    expect(existsSync(register)).toBe(false);
    expect(readRegister(register)).toEqual(EMPTY_REGISTER);
  });
});
