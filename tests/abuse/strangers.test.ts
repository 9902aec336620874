// Known ways in, each tried on its own: other paths to the disk, requests within requests, pages of other sites, chosen session ids,
// guessed passwords, and requests that are too large or never end.

import { once } from "node:events";
import type { Socket } from "node:net";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { WebSocket } from "ws";
import { commandsIn, dial, exchange, logIn, OPERATOR, startTarget, statusesIn, type Target } from "./target.ts";

let target: Target;
let operator: string;
beforeAll(async () => {
  target = await startTarget();
  operator = await logIn(target, "operator");
});
afterAll(() => target.remove());

const PATIENT = { timeout: 60_000, interval: 100 };
const healthy = (): Promise<void> =>
  vi.waitFor(async () => {
    expect((await fetch(`${target.address}healthz`, { signal: AbortSignal.timeout(5_000) })).status).toBe(200);
  }, PATIENT);
const state = (cookie: string): Promise<Response> =>
  fetch(`${target.address}api/v1/state`, { headers: { Cookie: cookie } });

describe("the way to the disk", () => {
  it.each([
    "/../../etc/passwd",
    "/..%2f..%2f..%2fetc%2fpasswd",
    "/%2e%2e/%2e%2e/etc/passwd",
    "/..\\..\\etc\\passwd",
    "/....//....//etc/passwd",
    "/%c0%ae%c0%ae/etc/passwd",
    "/assets/../../access.json",
    "/assets/..%00/index.html",
    "//etc/passwd",
    "/access.json",
    "/simulated-local-key",
    "/assets/",
    "/assets",
    "/.git/config",
  ])("%s leads nowhere", async (path) => {
    const said = await exchange(target, `GET ${path} HTTP/1.1\r\nHost: ${target.host}\r\nConnection: close\r\n\r\n`);
    expect(statusesIn(said)).toEqual([expect.toSatisfy((status: number) => status === 404 || status === 400)]);
    expect(said).not.toMatch(/root:|scrypt|index of/i);
  });
});

describe("a request within a request", () => {
  const INNER = (): string => `GET /api/v1/state HTTP/1.1\r\nHost: ${target.host}\r\nX: y\r\n\r\n`;
  const head = (...lines: readonly string[]): string =>
    `POST /api/v1/access/logout HTTP/1.1\r\nHost: ${target.host}\r\nContent-Type: application/json\r\n${lines.join("\r\n")}\r\n\r\n`;

  // RFC 9112, section 6.3: a request with both framings, or a framing that cannot be read, is answered with 400 and the line is closed.
  it.each<[string, () => string]>([
    ["CL.TE", () => `${head("Content-Length: 6", "Transfer-Encoding: chunked")}0\r\n\r\n${INNER()}`],
    ["TE.CL", () => `${head("Transfer-Encoding: chunked", "Content-Length: 4")}5c\r\n${INNER()}\r\n0\r\n\r\n`],
    ["two lengths", () => `${head("Content-Length: 2", "Content-Length: 44")}{}${INNER()}`],
    ["a list of lengths", () => `${head("Content-Length: 2, 44")}{}${INNER()}`],
    ["a length with a sign", () => `${head("Content-Length: +2")}{}${INNER()}`],
    ["a length in hexadecimal", () => `${head("Content-Length: 0x2")}{}${INNER()}`],
    ["an encoding that is none", () => `${head("Transfer-Encoding: xchunked")}0\r\n\r\n${INNER()}`],
    ["chunked first", () => `${head("Transfer-Encoding: chunked, identity")}0\r\n\r\n${INNER()}`],
    ["a space before the colon", () => `${head("Transfer-Encoding : chunked")}0\r\n\r\n${INNER()}`],
    ["a folded line", () => `${head("X: y\r\n Transfer-Encoding: chunked")}0\r\n\r\n${INNER()}`],
    ["bare line feeds", () => head("Content-Length: 2").replaceAll("\r\n", "\n") + INNER()],
    ["a zero byte in a header", () => `${head("X: a\u0000b", "Content-Length: 2")}{}${INNER()}`],
    ["a chunk size too large", () => `${head("Transfer-Encoding: chunked")}fffffffffffffffff\r\n${INNER()}`],
    ["no Host", () => `GET /api/v1/state HTTP/1.1\r\n\r\n${INNER()}`],
    [
      "two Hosts",
      () => `GET /api/v1/state HTTP/1.1\r\nHost: ${target.host}\r\nHost: elsewhere.example\r\n\r\n${INNER()}`,
    ],
  ])("%s is refused, and what follows it is not answered", async (_what, text) => {
    const said = await exchange(target, text());
    expect(statusesIn(said)).toEqual([expect.toSatisfy((status: number) => status >= 400 && status < 500)]);
    expect(said.toLowerCase()).toContain("connection: close");
  });

  it("split into an answer by a line break in what was asked stays within a line", async () => {
    const said = await exchange(
      target,
      `GET /api/v1/history?series=a%0d%0aSet-Cookie:%20x=y HTTP/1.1\r\nHost: ${target.host}\r\nCookie: ${operator}\r\nConnection: close\r\n\r\n`,
    );
    expect(said.slice(0, said.indexOf("\r\n\r\n"))).not.toMatch(/set-cookie/i);
  });
});

describe("the page of another site", () => {
  /** The status of the handshake; 101 when the stream was opened. */
  async function handshake(headers: Readonly<Record<string, string>>): Promise<number> {
    const socket = new WebSocket(`${target.address.replace("http", "ws")}api/v1/stream`, { headers });
    socket.on("error", () => {});
    const status = await Promise.race([
      once(socket, "open").then(() => 101),
      once(socket, "unexpected-response").then(([, response]) => (response as { statusCode: number }).statusCode),
    ]);
    socket.terminate();
    return status;
  }
  const own = (): string => target.address.slice(0, -1);

  it("gets no stream with the reader's cookie; the daemon's own page does", async () => {
    expect(await handshake({ Cookie: operator, Origin: own() })).toBe(101);
    for (const origin of [
      "http://elsewhere.example",
      "null",
      "http://127.0.0.1:1",
      `${own()}.elsewhere.example`,
      "file://",
    ]) {
      expect({ [origin]: await handshake({ Cookie: operator, Origin: origin }) }).toEqual({ [origin]: 403 });
    }
    expect(await handshake({ Cookie: operator, "Sec-Fetch-Site": "cross-site" })).toBe(403);
    expect(await handshake({ Origin: own() })).toBe(401);
    expect(await handshake({ Cookie: "emberwire=" })).toBe(401);
  });

  it.each<Readonly<Record<string, string>>>([
    { Origin: "http://elsewhere.example" },
    { Origin: "null" },
    { "Sec-Fetch-Site": "cross-site" },
    { "Sec-Fetch-Site": "same-site" },
    { "Sec-Fetch-Site": "none" },
    {},
  ])("changes nothing with the operator's cookie: %j", async (headers) => {
    const response = await fetch(`${target.address}api/v1/commands`, {
      method: "POST",
      headers: { "Content-Type": "application/json", Cookie: operator, ...headers },
      body: JSON.stringify({ action: { kind: "note", text: "from elsewhere" } }),
    });
    // A browser's fetch sends what it likes for these two; on this raw client they arrive as they are written.
    expect(response.status).toBe(403);
  });

  it("cannot do it by a form either", async () => {
    for (const type of ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x"]) {
      const said = await exchange(
        target,
        `POST /api/v1/commands HTTP/1.1\r\nHost: ${target.host}\r\nCookie: ${operator}\r\nOrigin: ${own()}\r\nContent-Type: ${type}\r\nContent-Length: 2\r\nConnection: close\r\n\r\n{}`,
      );
      expect(statusesIn(said)).toEqual([415]);
    }
    expect((await commandsIn(target)).filter(({ kind }) => kind === "note")).toEqual([]);
  });
});

describe("a session id", () => {
  it("that somebody chose is never taken over, and a login always gives a new one", async () => {
    const chosen = `emberwire=${"A".repeat(43)}`;
    const given = await logIn(target, "viewer", { Cookie: chosen, Origin: target.address.slice(0, -1) });
    expect(given).not.toBe(chosen);
    expect((await state(chosen)).status).toBe(401);
    expect((await state(given)).status).toBe(200);
    const next = await logIn(target, "viewer", { Cookie: given, Origin: target.address.slice(0, -1) });
    expect((await state(given)).status).toBe(401);
    expect((await state(next)).status).toBe(200);
  });

  it("is no use after logout, under another name, twice, or changed by a character", async () => {
    const given = await logIn(target, "viewer");
    const value = given.slice("emberwire=".length);
    const spoilt = `${value.slice(0, -2)}${value.endsWith("A") ? "BB" : "AA"}`;
    for (const cookie of [
      `__Host-emberwire=${value}`,
      `Emberwire=${value}`,
      `${given}; ${given}`,
      `emberwire=${spoilt}`,
    ]) {
      expect({ [cookie]: (await state(cookie)).status }).toEqual({ [cookie]: 401 });
    }
    const left = await fetch(`${target.address}api/v1/access/logout`, {
      method: "POST",
      headers: { "Content-Type": "application/json", Cookie: given, Origin: target.address.slice(0, -1) },
      body: '{"everywhere":false}',
    });
    expect(left.status).toBe(204);
    expect((await state(given)).status).toBe(401);
  });
});

describe("what is too large", () => {
  it.each<[string, () => string, number]>([
    ["a body", () => `Content-Length: 100000\r\n\r\n${"x".repeat(100_000)}`, 413],
    [
      "a body in chunks",
      () => `Transfer-Encoding: chunked\r\n\r\n${`4000\r\n${"x".repeat(0x4000)}\r\n`.repeat(6)}0\r\n\r\n`,
      413,
    ],
    ["a header", () => `X: ${"x".repeat(40_000)}\r\n\r\n`, 431],
    ["a crowd of headers", () => `${"X: y\r\n".repeat(4_000)}\r\n`, 431],
  ])("%s is refused", async (_what, rest, status) => {
    const said = await exchange(
      target,
      `POST /api/v1/commands HTTP/1.1\r\nHost: ${target.host}\r\nCookie: ${operator}\r\nOrigin: ${target.address.slice(0, -1)}\r\nContent-Type: application/json\r\nConnection: close\r\n${rest()}`,
    );
    expect(statusesIn(said)[0]).toBe(status);
  });

  it("a frame ends its stream", async () => {
    const socket = new WebSocket(`${target.address.replace("http", "ws")}api/v1/stream`, {
      headers: { Cookie: operator },
    });
    await once(socket, "open");
    socket.on("error", () => {});
    socket.send(Buffer.alloc(100_000));
    // RFC 6455, section 7.4.1: message too big.
    expect(await once(socket, "close")).toMatchObject([1009, expect.anything()]);
  });
});

describe("guesses", () => {
  it("come to nothing, are few, and are in the record", async () => {
    const statuses: number[] = [];
    const guess = async (number: number): Promise<void> => {
      const response = await fetch(`${target.address}api/v1/access/login`, {
        method: "POST",
        headers: { "Content-Type": "application/json", "X-Forwarded-For": `10.0.0.${number}` },
        body: JSON.stringify({ as: number % 2 === 0 ? "operator" : "viewer", password: `${OPERATOR}${number}` }),
      });
      await response.text();
      statuses.push(response.status);
    };
    // Fifty at once: an address has no more than some ninety connections.
    for (let round = 0; round < 4; round += 1) {
      await Promise.all(Array.from({ length: 50 }, (_, number) => guess(50 * round + number)));
    }
    expect(statuses.filter((status) => status === 200)).toEqual([]);
    // Looked at: five at once, and those that the seconds of this test have earned.
    expect(statuses.filter((status) => status === 401).length).toBeLessThanOrEqual(8);
    expect(statuses.filter((status) => status === 429).length).toBeGreaterThan(150);
    await vi.waitFor(async () => {
      const response = await fetch(`${target.address}api/v1/record?kinds=event`, {
        headers: { Authorization: `Bearer ${target.reader}` },
      });
      expect(await response.text()).toContain("login-refused");
    }, PATIENT);
  });
});

describe("requests that never end", () => {
  it("hold a part of the places only, give them back by a deadline, and somebody elsewhere gets in all the while", async () => {
    const slow: Socket[] = [];
    for (let count = 0; count < 300; count += 1) {
      const socket = await dial(target, "127.0.0.3");
      socket.resume();
      socket.write(`POST /api/v1/commands HTTP/1.1\r\nHost: ${target.host}\r\nX-Slow: `);
      slow.push(socket);
    }
    const holding = (): number => slow.filter((socket) => !socket.closed).length;
    const drip = setInterval(() => {
      for (const socket of slow) if (socket.writable) socket.write("y");
    }, 200);
    try {
      await vi.waitFor(() => expect(holding()).toBe(96), PATIENT);
      const said = await exchange(
        target,
        `GET /api/v1/state HTTP/1.1\r\nHost: ${target.host}\r\nCookie: ${operator}\r\nConnection: close\r\n\r\n`,
        { from: "127.0.0.2" },
      );
      expect({ statuses: statusesIn(said), holding: holding() }).toEqual({ statuses: [200], holding: 96 });
      await vi.waitFor(() => expect(holding()).toBe(0), PATIENT);
      await vi.waitFor(async () => {
        const response = await fetch(`${target.address}api/v1/record?kinds=event,note`, {
          headers: { Authorization: `Bearer ${target.reader}` },
        });
        expect(await response.text()).toMatch(/"tag":"crowded","text":"(\d+ times; the last: )?127\.0\.0\.3 has all/);
      }, PATIENT);
    } finally {
      clearInterval(drip);
      for (const socket of slow) socket.destroy();
    }
    await healthy();
  });
});

describe("streams that one address opens", () => {
  it("leave places to others", async () => {
    const opened: WebSocket[] = [];
    const open = async (localAddress: string): Promise<number> => {
      const socket = new WebSocket(`${target.address.replace("http", "ws")}api/v1/stream`, {
        headers: { Cookie: operator },
        localAddress,
      });
      opened.push(socket);
      socket.on("error", () => {});
      return Promise.race([
        once(socket, "open").then(() => 101),
        once(socket, "unexpected-response").then(([, response]) => (response as { statusCode: number }).statusCode),
      ]);
    };
    try {
      const greedy: number[] = [];
      for (let count = 0; count < 64; count += 1) greedy.push(await open("127.0.0.4"));
      expect(greedy.filter((status) => status === 101)).toHaveLength(60);
      expect(greedy.filter((status) => status === 503)).toHaveLength(4);
      expect(await open("127.0.0.2")).toBe(101);
    } finally {
      for (const socket of opened) socket.terminate();
    }
  });
});
