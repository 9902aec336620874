// Tokens at a running daemon, one of them made and withdrawn by the command itself: every address of the interface's document is asked
// with each, an alarm is acknowledged by the one that may, and streams end with the token or the login that opened them.

import { randomBytes } from "node:crypto";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { EMPTY_REGISTER, writeRegister } from "../../daemon/access/register.ts";
import { drawToken, hashSecret, type Scope, type StoredToken } from "../../daemon/access/token.ts";
import { accessFiles } from "../../daemon/folder.ts";
import type { RecordPage } from "../../daemon/wire/alarm.ts";
import { type ScriptedFeedpoint, scratchFolder, startScripted } from "../browser/feedpoint.ts";
import { stallFan } from "../browser/stage.ts";
import { cheapSeal } from "../support/cheap-seal.ts";
import { runProgram } from "../support/told-program.ts";

const OPERATOR = "four wires in the orchard";
const VIEWER = "a horse on the tower roof";
const PATIENT = { timeout: 25_000, interval: 100 };
/** Ten times real time: an alarm's delay is short. */
const SPEED = 10;

type Token = "reader" | "pager" | "both";
const SCOPES: Readonly<Record<Token, string>> = {
  reader: "read",
  pager: "acknowledge",
  both: "read,acknowledge",
};

type Operation = {
  readonly security?: readonly { readonly token?: readonly string[] }[];
  readonly requestBody?: {
    readonly content: Readonly<
      Record<string, { readonly examples: Readonly<Record<string, { readonly value: unknown }>> }>
    >;
  };
};

let folder: Awaited<ReturnType<typeof scratchFolder>>;
let feedpoint: ScriptedFeedpoint;
const secrets = new Map<Token, string>();
const bearer = (token: Token): Readonly<Record<string, string>> => ({ Authorization: `Bearer ${secrets.get(token)}` });

/** A token as the register keeps it; its secret is known to this test. */
function stored(name: Token, scopes: readonly Scope[]): StoredToken {
  const secret = drawToken(randomBytes);
  secrets.set(name, secret);
  return { name, scopes, hash: hashSecret(secret) ?? "", madeWallSeconds: 0 };
}

beforeAll(async () => {
  folder = await scratchFolder();
  writeRegister(accessFiles(folder.path, true).register, {
    ...EMPTY_REGISTER,
    operator: cheapSeal(OPERATOR),
    viewer: cheapSeal(VIEWER),
    tokens: [stored("reader", ["read"]), stored("pager", ["acknowledge"])],
  });
  feedpoint = await startScripted(folder.path, SPEED);
});
afterAll(async () => {
  await feedpoint?.stop();
  await folder?.remove();
});

async function send(
  method: string,
  path: string,
  headers: Readonly<Record<string, string>>,
  body?: unknown,
): Promise<{ readonly status: number; readonly text: string }> {
  const init = body === undefined ? {} : { body: JSON.stringify(body) };
  const type = body === undefined ? {} : { "Content-Type": "application/json" };
  const response = await fetch(`${feedpoint.address}${path}`, { method, ...init, headers: { ...headers, ...type } });
  // Events do not end by themselves.
  if (response.headers.get("content-type") === "text/event-stream") {
    await response.body?.cancel();
    return { status: response.status, text: "" };
  }
  return { status: response.status, text: await response.text() };
}

const command = (token: Token, action: object) => send("POST", "api/v1/commands", bearer(token), { action });

/** Lines of the record about commands. */
async function commands(): Promise<readonly string[]> {
  const { text } = await send("GET", "api/v1/record?kinds=command&lines=200", bearer("reader"));
  return (JSON.parse(text) as RecordPage).lines.map((line) => `${line.tag} ${line.by}: ${line.text}`);
}

/** Every operation of the document with what it asks of a token: null = nothing, "operate" = what no token has. */
async function operations() {
  const { text } = await send("GET", "api/v1/openapi.json", bearer("reader"));
  const { paths } = JSON.parse(text) as {
    readonly paths: Readonly<Record<string, Readonly<Record<string, Operation>>>>;
  };
  return Object.entries(paths).flatMap(([path, methods]) =>
    Object.entries(methods).map(([method, { security, requestBody }]) => {
      const scopes = security?.find(({ token }) => token !== undefined)?.token;
      const examples = Object.values(requestBody?.content["application/json"]?.examples ?? {}).map(
        ({ value }) => value,
      );
      return {
        method: method.toUpperCase(),
        path: path
          .slice(1)
          .replace("{code}", "NOT_FOUND")
          .replace(/\{\w+\}/, "1"),
        needs: scopes === undefined ? null : (scopes[0] ?? "operate"),
        bodies: examples.length === 0 ? [undefined] : examples,
      };
    }),
  );
}

describe("a token", () => {
  it("is known to the running daemon once it is made", async () => {
    const made = await runProgram("token", "add", "both", "--scope", SCOPES.both, "--data", folder.path);
    expect(made.status).toBe(0);
    secrets.set("both", made.out.trim());
    await vi.waitFor(async () => expect((await send("GET", "api/v1/state", bearer("both"))).status).toBe(200), PATIENT);
  });

  it("may what its scopes say at every address of the interface, and nothing else", async () => {
    const all = await operations();
    expect(all.filter(({ needs }) => needs === "operate").length).toBeGreaterThanOrEqual(4);
    expect(all.filter(({ needs }) => needs === "read").length).toBeGreaterThan(10);
    for (const { method, path, needs, bodies } of all) {
      // Commands are tried one by one below; a logout or a login asks nothing of a token.
      if (needs === "acknowledge" || needs === null) continue;
      const tries = (["reader", "pager", "both"] as const).flatMap((token) => bodies.map((body) => ({ token, body })));
      await Promise.all(
        tries.map(async ({ token, body }) => {
          const { status } = await send(method, path, bearer(token), body);
          const may = needs !== "operate" && SCOPES[token].includes(needs);
          // An address for sockets alone says so (426) to who may look.
          const expected = may ? expect.toSatisfy((got) => got !== 401 && got !== 403) : 403;
          expect({ token, method, path, status }).toEqual({ token, method, path, status: expected });
        }),
      );
    }
  });

  it("with the scope acknowledge may acknowledge and give no other command, and the record says which it was and from where", async () => {
    stallFan(feedpoint);
    const acknowledge = { kind: "acknowledge", tag: "fan_stall", comment: "on my way" };
    await vi.waitFor(async () => {
      const { text } = await send("GET", "api/v1/state", bearer("reader"));
      expect(text).toContain('"fan_stall"');
    }, PATIENT);
    expect((await command("reader", acknowledge)).status).toBe(403);
    const examples = (await operations()).find(({ needs }) => needs === "acknowledge")?.bodies ?? [];
    expect(examples.length).toBeGreaterThan(10);
    for (const body of examples) {
      const { action } = body as { readonly action: { readonly kind: string } };
      if (action.kind === "acknowledge") continue;
      const { status } = await command("pager", action);
      expect({ kind: action.kind, status }).toEqual({ kind: action.kind, status: 403 });
    }
    const { status, text } = await command("pager", acknowledge);
    expect({ status, text }).toMatchObject({ status: 200, text: expect.stringContaining('"accepted":true') });
    await vi.waitFor(async () => {
      const lines = await commands();
      expect(lines.filter((line) => line.includes("token "))).toEqual([
        expect.stringMatching(/^acknowledge token pager: .*\(from 127\.0\.0\.1\)$/),
      ]);
    }, PATIENT);
  });
});

/** Server-sent events as they come, until they end. */
async function listening(headers: Readonly<Record<string, string>>) {
  const response = await fetch(`${feedpoint.address}api/v1/events`, { headers });
  expect(response.status).toBe(200);
  let [heard, ended] = [0, false];
  const read = async (): Promise<void> => {
    for await (const _chunk of response.body as unknown as AsyncIterable<Uint8Array>) heard += 1;
    ended = true;
  };
  void read().catch(() => {
    ended = true;
  });
  await vi.waitFor(() => expect(heard).toBeGreaterThan(1), PATIENT);
  return { ended: () => ended };
}

describe("what is open", () => {
  async function logIn(): Promise<Readonly<Record<string, string>>> {
    const response = await fetch(`${feedpoint.address}api/v1/access/login`, {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify({ as: "viewer", password: VIEWER }),
    });
    return { Cookie: response.headers.get("set-cookie")?.split(";")[0] ?? "" };
  }

  it("ends with the login, its own only", async () => {
    const [here, there] = [await logIn(), await logIn()];
    const [one, other] = [await listening(here), await listening(there)];
    const Origin = feedpoint.address.slice(0, -1);
    expect((await send("POST", "api/v1/access/logout", { ...here, Origin }, { everywhere: false })).status).toBe(204);
    await vi.waitFor(() => expect(one.ended()).toBe(true), PATIENT);
    expect(other.ended()).toBe(false);
    expect((await send("POST", "api/v1/access/logout", { ...there, Origin }, { everywhere: true })).status).toBe(204);
    await vi.waitFor(() => expect(other.ended()).toBe(true), PATIENT);
  });

  it("ends with a token that is withdrawn, which is refused from then on", async () => {
    const events = await listening(bearer("both"));
    const others = await listening(bearer("reader"));
    expect(await runProgram("token", "remove", "both", "--data", folder.path)).toMatchObject({ status: 0 });
    await vi.waitFor(() => expect(events.ended()).toBe(true), PATIENT);
    expect(others.ended()).toBe(false);
    const { status, text } = await send("GET", "api/v1/state", bearer("both"));
    expect({ status, text }).toMatchObject({ status: 401, text: expect.stringContaining("withdrawn") });
    expect((await command("both", { kind: "acknowledge", tag: "fan_stall" })).status).toBe(401);
  });
});
