// Ten thousand drawn messages, spoilt in every place, at a daemon whose every byte of data needs a login. What gets in without one, or
// makes the daemon stumble, is a finding. The seed is printed; EMBERWIRE_ABUSE_SEED draws others.

import { once } from "node:events";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { seededRandom } from "../../hardware/simulated/random.ts";
import { commandsIn, dial, exchange, startTarget, statusesIn, type Target } from "./target.ts";

const SEED = Number(process.env["EMBERWIRE_ABUSE_SEED"] ?? 20261127);
const HTTP_MESSAGES = 8_000;
const FRAMES = 2_000;
const AT_ONCE = 48;

const random = seededRandom(SEED).fork("abuse");
const one = <Item>(...items: readonly Item[]): Item => items[random.below(items.length)] as Item;
const garbage = (most: number): Buffer =>
  Buffer.from(Array.from({ length: 1 + random.below(most) }, () => random.below(256)));
const word = (): string =>
  garbage(24)
    .toString("latin1")
    .replaceAll(/[\r\n]/g, "");

const DATA_PATHS = [
  "/api/v1/state",
  "/api/v1/history",
  "/api/v1/record",
  "/api/v1/check",
  "/api/v1/alarms",
  "/api/v1/model",
  "/api/v1/heat-run",
  "/api/v1/season",
  "/api/v1/season/sessions",
  "/api/v1/openapi.json",
  "/metrics",
  "/api/v1/stream",
];
const CHANGE_PATHS = [
  "/api/v1/commands",
  "/api/v1/heat-run",
  "/api/v1/season/sessions",
  "/api/v1/season/sessions/1",
  "/api/v1/notices/test",
];
const ACTIONS = [
  '{"action":{"kind":"reset"}}',
  '{"action":{"kind":"bypass","seconds":600,"comment":"x"}}',
  '{"action":{"kind":"note","text":"in"}}',
  '{"kind":"begin","drive_watts":500}',
  '{"kind":"contest","name":"x","from_seconds":1,"to_seconds":2}',
  '{"__proto__":{"x":1}}',
  "[",
  "null",
];

/** A path that leads to data, or would if somebody were careless with its spelling. */
function path(): string {
  const plain = one(...DATA_PATHS, ...CHANGE_PATHS);
  return one<() => string>(
    () => plain,
    () => plain.toUpperCase(),
    () => `${plain}/`,
    () => plain.replace("/api", "//api"),
    () => plain.replace("/v1", "/./v1"),
    () => plain.replace("/v1", "/x/../v1"),
    () => plain.replaceAll("e", "%65"),
    () => `/api/v1/access/..%2f${plain.slice(8)}`,
    () => `/api/v1/access/../${plain.slice(8)}`,
    () => `${plain}?${word().replaceAll(/\s/g, "")}`,
    () => `http://127.0.0.1${plain}`,
    () => `${plain};/api/v1/access`,
    () => `/api/v1/problems/../${plain.slice(8)}`,
    () => `${plain}%00`,
  )();
}

function headers(host: string, body: string): readonly string[] {
  const claims = [
    `Cookie: emberwire=${"A".repeat(43)}`,
    `Cookie: emberwire=${word()}; emberwire=${word()}`,
    "Cookie: __Host-emberwire=x",
    `Authorization: Bearer emberwire_${"A".repeat(43)}`,
    `Authorization: Bearer ${word()}`,
    "Authorization: Basic YWRtaW46YWRtaW4=",
    "X-Forwarded-For: 127.0.0.1",
    "X-Forwarded-Host: 127.0.0.1",
    "X-Forwarded-Proto: https",
    "Forwarded: for=127.0.0.1;proto=https",
    "X-Real-IP: 127.0.0.1",
    "X-HTTP-Method-Override: POST",
    "X-Original-URL: /api/v1/state",
    "Origin: null",
    `Origin: http://${host}`,
    "Sec-Fetch-Site: same-origin",
    "Sec-Fetch-Site: none",
    "Upgrade: h2c",
    "Expect: 100-continue",
    `X-${one("A", "B")}: ${word()}`,
    "Content-Type: text/plain",
    "Transfer-Encoding: identity",
    "Range: bytes=0-",
  ];
  return [
    `Host: ${one(host, host, host, host, "elsewhere.example", "", `${host}, elsewhere.example`)}`,
    "Connection: close",
    ...Array.from({ length: random.below(4) }, () => one(...claims)),
    ...(body === ""
      ? []
      : [
          "Content-Type: application/json",
          `Content-Length: ${one<number | string>(body.length, body.length, body.length, 0, 3, "x")}`,
        ]),
  ];
}

function message(host: string): Buffer {
  const changing = random.below(2) === 0;
  const method = changing
    ? one("POST", "DELETE", "PUT", "PATCH")
    : one("GET", "HEAD", "GET", "OPTIONS", "TRACE", "get", word());
  const body = changing ? one(...ACTIONS) : "";
  const text = `${method} ${path()} HTTP/1.1\r\n${headers(host, body).join("\r\n")}\r\n\r\n${body}`;
  const bytes = Buffer.from(text, "latin1");
  // One in four has a few bytes changed besides.
  if (random.below(4) === 0)
    for (let spoilt = 0; spoilt < 3; spoilt += 1) bytes[random.below(bytes.length)] = random.below(256);
  return bytes;
}

const LEAKS = /core_celsius|node_modules|\n\s+at |x-powered-by|\nserver:|emberwire\/\d/i;

let target: Target;
beforeAll(async () => {
  target = await startTarget();
});
afterAll(() => target.remove());

async function inTurns(count: number, work: () => Promise<void>): Promise<void> {
  let left = count;
  await Promise.all(
    Array.from({ length: AT_ONCE }, async () => {
      while (left > 0) {
        left -= 1;
        await work();
      }
    }),
  );
}

const healthy = async (): Promise<number> =>
  (await fetch(`${target.address}healthz`, { signal: AbortSignal.timeout(20_000) })).status;

describe(`drawn messages (seed ${SEED})`, () => {
  it(`${HTTP_MESSAGES} of HTTP: none reads, none changes, none is answered with a failure or a leak`, async () => {
    const counts = new Map<number, number>();
    const findings: string[] = [];
    await inTurns(HTTP_MESSAGES, async () => {
      const sent = message(target.host);
      const said = await exchange(target, sent, { seconds: 15 });
      const status = statusesIn(said)[0] ?? 0;
      counts.set(status, (counts.get(status) ?? 0) + 1);
      const told =
        said.includes("\r\ncontent-type: text/html") || said.toLowerCase().includes("content-type: text/html");
      // What a spoilt path may still reach: who am I, what a problem means.
      const open = /^(GET|HEAD) (http:\/\/[^/]*)?\/api\/v1\/(access|problems\/[A-Z_]+)[/?; ]/i.test(
        sent.toString("latin1"),
      );
      if ((status >= 200 && status < 300 && !told && !open) || status === 500 || LEAKS.test(said)) {
        findings.push(`${sent.toString("latin1").slice(0, 300)}\n→ ${said.slice(0, 300)}`);
      }
    });
    process.stdout.write(
      `  answers by status: ${[...counts]
        .sort()
        .map(([status, count]) => `${status || "none"} ${count}`)
        .join(", ")}\n`,
    );
    expect(findings).toEqual([]);
    expect(await healthy()).toBe(200);
    expect(await commandsIn(target)).toEqual([]);
  });

  it(`${FRAMES} of WebSocket, to a stream with a token: each is refused by its close, and the daemon goes on`, async () => {
    const upgrade = [
      "GET /api/v1/stream HTTP/1.1",
      `Host: ${target.host}`,
      "Connection: Upgrade",
      "Upgrade: websocket",
      "Sec-WebSocket-Version: 13",
      "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==",
      `Authorization: Bearer ${target.reader}`,
      "\r\n",
    ].join("\r\n");
    let [opened, closed] = [0, 0];
    await inTurns(FRAMES, async () => {
      const socket = await dial(target);
      socket.write(upgrade);
      const [first] = (await once(socket, "data", { signal: AbortSignal.timeout(15_000) })) as [Buffer];
      if (first.toString("latin1").startsWith("HTTP/1.1 101")) opened += 1;
      socket.resume();
      // FIN or not, any reserved bit, any opcode, masked or not, any length that fits and some that do not.
      socket.write(
        Buffer.concat([
          Buffer.from([random.below(256), one(0, 5, 125, 126, 127, 254, 255, 0x80 | random.below(126))]),
          garbage(300),
        ]),
      );
      socket.end();
      await once(socket, "close", { signal: AbortSignal.timeout(15_000) });
      closed += 1;
    });
    process.stdout.write(`  ${opened} streams opened, ${closed} ended\n`);
    expect(opened).toBeGreaterThan(FRAMES / 2);
    expect(closed).toBe(FRAMES);
    expect(await healthy()).toBe(200);
  });
});
