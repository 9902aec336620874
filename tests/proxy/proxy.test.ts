// The compiled daemon behind nginx: logins, the stream and commands through TLS, whose address counts, whose word is believed, and
// what a page in Chromium makes of it.

import { once } from "node:events";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { EMPTY_REGISTER, writeRegister } from "../../daemon/access/register.ts";
import { accessFiles } from "../../daemon/folder.ts";
import type { Access } from "../../daemon/wire/access.ts";
import type { RecordPage } from "../../daemon/wire/alarm.ts";
import type { ServerMessage } from "../../daemon/wire/frame.ts";
import { launchChromium } from "../browser/chromium.ts";
import { type DaemonProcess, scratchFolder, startProcess } from "../browser/feedpoint.ts";
import { CERTIFIED_NAME, makeCertificate } from "../support/certificate.ts";
import { cheapSeal } from "../support/cheap-seal.ts";
import { runProgramTyping } from "../support/told-program.ts";
import { EXAMPLE_CONFIG, type Nginx, startNginx } from "./nginx.ts";
import { Visitor } from "./visitor.ts";

const OPERATOR = "four wires in the orchard";
const VIEWER = "a horse on the tower roof";
const PATIENT = { timeout: 30_000, interval: 100 };
const CONFIG = `[transformer]
mix = "43"
toroids = 3
toroid = "61.0x35.55x12.7mm"
primary_turns = 3
[relay]
reduce = 23
inhibit = 24
${EXAMPLE_CONFIG}
`;

let folder: Awaited<ReturnType<typeof scratchFolder>>;
let daemon: DaemonProcess;
let nginx: Nginx;
let certificate: string;

const at = (name: string): string => join(folder.path, name);
const daemonPort = (): number => Number(new URL(daemon.address).port);
const startDaemon = (port: number): Promise<DaemonProcess> => startProcess(folder.path, 1, port, at("emberwire.toml"));
/** Through the proxy, from an address of one's own. */
const visitor = (address: string): Visitor => new Visitor(address, nginx.port, certificate);
const note = (text: string) => ({ action: { kind: "note", text } });

beforeAll(async () => {
  folder = await scratchFolder();
  writeFileSync(at("emberwire.toml"), CONFIG);
  const sealed = { operator: cheapSeal(OPERATOR), viewer: cheapSeal(VIEWER) };
  writeRegister(accessFiles(folder.path, true).register, { ...EMPTY_REGISTER, ...sealed });
  daemon = await startDaemon(0);
  const files = await makeCertificate(folder.path);
  certificate = files.certificate;
  nginx = await startNginx(folder.path, files, new URL(daemon.address).host);
});
afterAll(async () => {
  await nginx?.stop();
  await daemon?.kill();
  await folder?.remove();
});

async function loggedIn(address: string, as: "operator" | "viewer" = "operator"): Promise<Visitor> {
  const made = visitor(address);
  const heard = await made.logIn(as, as === "operator" ? OPERATOR : VIEWER);
  expect({ as, status: heard.status }).toEqual({ as, status: 200 });
  return made;
}

/** Lines of the record about people, as this visitor reads them. */
async function recordFor(reader: Visitor): Promise<string> {
  const { text } = await reader.ask("GET", "/api/v1/record?kinds=command,event,note&lines=200");
  return (JSON.parse(text) as RecordPage).lines.map((line) => `${line.tag} ${line.by}: ${line.text}`).join("\n");
}

/** The record, once it says so. */
const recorded = (reader: Visitor, words: RegExp): Promise<string> =>
  vi.waitFor(async () => {
    const record = await recordFor(reader);
    expect(record).toMatch(words);
    return record;
  }, PATIENT);

describe("through the proxy", () => {
  it("the login's cookie is fenced in, and the daemon knows that the visitor is elsewhere and the way encrypted", async () => {
    const operator = visitor("127.0.0.2");
    const stranger = await operator.ask("GET", "/api/v1/state");
    expect(stranger.status).toBe(401);
    const heard = await operator.logIn("operator", OPERATOR);
    expect(heard.headers["set-cookie"]).toEqual([
      expect.stringMatching(/^__Host-emberwire=[\w-]{43}; Path=\/; HttpOnly; SameSite=Strict; Secure$/),
    ]);
    const access = JSON.parse((await operator.ask("GET", "/api/v1/access")).text) as Access;
    expect(access).toMatchObject({ logged_in: "operator", encrypted: true, local: false });
    await recorded(operator, /^login operator: the operator logged in \(from 127\.0\.0\.2\)$/m);
  });

  it("the answers keep their fences, and neither program tells its version", async () => {
    const { headers, status } = await visitor("127.0.0.2").ask("GET", "/");
    expect(status).toBe(200);
    expect(headers["content-security-policy"]).toContain("default-src 'none'");
    expect(headers["x-content-type-options"]).toBe("nosniff");
    expect(headers["x-frame-options"]).toBe("DENY");
    expect(headers["x-powered-by"]).toBeUndefined();
    expect(headers["server"]).toBe("nginx");
  });

  it("the stream opens for the page of this name with a login, and for no other; a logout ends it", async () => {
    const viewer = await loggedIn("127.0.0.2", "viewer");
    const own = { Origin: viewer.origin };
    const stream = await viewer.stream(own);
    if (typeof stream === "number") expect.unreachable(`the handshake was answered with ${stream}`);
    const messages: ServerMessage[] = [];
    stream.on("message", (text) => messages.push(JSON.parse(String(text)) as ServerMessage));
    await vi.waitFor(
      () => expect(messages.map(({ type }) => type).slice(0, 2)).toEqual(["snapshot", "delta"]),
      PATIENT,
    );
    for (const origin of [
      "https://elsewhere.example",
      `https://${CERTIFIED_NAME}`,
      `https://127.0.0.1:${nginx.port}`,
      "null",
    ]) {
      expect({ [origin]: await viewer.stream({ Origin: origin }) }).toEqual({ [origin]: 403 });
    }
    expect(await visitor("127.0.0.2").stream(own)).toBe(401);
    const closed = once(stream, "close", { signal: AbortSignal.timeout(20_000) });
    expect((await viewer.post("/api/v1/access/logout", { everywhere: false })).status).toBe(204);
    // RFC 6455, section 7.4.1: policy violation.
    expect((await closed)[0]).toBe(1008);
  });

  it("server-sent events arrive one by one, and end with the login", async () => {
    const viewer = await loggedIn("127.0.0.2", "viewer");
    const response = await viewer.open("GET", "/api/v1/events");
    expect(response.statusCode).toBe(200);
    // A word to the proxy, which keeps it.
    expect(response.headers["x-accel-buffering"]).toBeUndefined();
    const deltas: number[] = [];
    response.on("data", (chunk: Buffer) => {
      deltas.push(chunk.toString().split("event: delta\n").length - 1);
    });
    const all = (): number => deltas.reduce((sum, count) => sum + count, 0);
    await vi.waitFor(() => expect(all()).toBeGreaterThanOrEqual(3), PATIENT);
    // A proxy that gathers would hand on several in one piece.
    expect(Math.max(...deltas)).toBe(1);
    const ended = once(response, "end", { signal: AbortSignal.timeout(20_000) });
    expect((await viewer.post("/api/v1/access/logout", { everywhere: true })).status).toBe(204);
    await ended;
  });

  it("a command needs the page's own Origin, and the record has who gave it and from where", async () => {
    const operator = await loggedIn("127.0.0.2");
    expect((await operator.post("/api/v1/commands", note("rain has begun"))).status).toBe(200);
    for (const Origin of ["https://elsewhere.example", "null", daemon.address.slice(0, -1)]) {
      expect((await operator.post("/api/v1/commands", note("from elsewhere"), { Origin })).status).toBe(403);
    }
    const cross = { "Sec-Fetch-Site": "cross-site" };
    expect((await operator.post("/api/v1/commands", note("from elsewhere"), cross)).status).toBe(403);
    expect(await recorded(operator, /^note operator: done: noted \(from 127\.0\.0\.2\)$/m)).not.toContain(
      "from elsewhere",
    );
  });

  it("it is known under the names of its config only", async () => {
    const { status, text } = await visitor("127.0.0.2").ask("GET", "/", { Host: "elsewhere.example" });
    expect({ status, text }).toMatchObject({ status: 403, text: expect.stringContaining("listen.names") });
  });
});

describe("whose address counts", () => {
  it("the visitor's at the proxy, whatever headers it invents: it is slowed down, others are not", async () => {
    const guesser = visitor("127.0.0.3");
    const statuses: number[] = [];
    for (let guess = 0; guess < 7; guess += 1) {
      const invented = `10.0.0.${guess}`;
      const headers = {
        "X-Forwarded-For": invented,
        "X-Real-IP": invented,
        Forwarded: `for=${invented}`,
        "X-Forwarded-Host": "127.0.0.1",
      };
      statuses.push((await guesser.logIn("operator", `${OPERATOR} ${guess}`, headers)).status);
    }
    expect(statuses).toEqual([401, 401, 401, 401, 401, 429, 429]);
    const operator = await loggedIn("127.0.0.2");
    const record = await recorded(operator, /^login-refused null: a wrong operator password from 127\.0\.0\.3$/m);
    expect(record).not.toContain("10.0.0.");
  });

  it("the socket's own, where no trusted proxy stands: nothing that it says of itself is believed", async () => {
    const direct = new Visitor("127.0.0.5", daemonPort(), null);
    const forged = {
      "X-Forwarded-For": "127.0.0.9",
      "X-Forwarded-Proto": "https",
      "X-Forwarded-Host": CERTIFIED_NAME,
      Forwarded: "for=127.0.0.9;proto=https",
    };
    const heard = await direct.logIn("operator", OPERATOR, forged);
    expect(heard.status).toBe(200);
    expect(heard.headers["set-cookie"]?.[0]).toMatch(/^emberwire=[\w-]{43}; Path=\/; HttpOnly; SameSite=Strict$/);
    const access = JSON.parse((await direct.ask("GET", "/api/v1/access", forged)).text) as Access;
    expect(access).toMatchObject({ encrypted: false, local: false });
    const elsewhere = { ...forged, Origin: `https://${CERTIFIED_NAME}:${nginx.port}` };
    expect((await direct.post("/api/v1/commands", note("forged"), elsewhere)).status).toBe(403);
    const record = await recorded(direct, /^login operator: the operator logged in \(from 127\.0\.0\.5\)$/m);
    expect(record).not.toContain("127.0.0.9");
  });

  it("the machine's own commands need no login although its proxy is on it, and cannot be had through the proxy", async () => {
    const words = ["--simulated", "--config", at("emberwire.toml"), "--data", folder.path];
    const told = await runProgramTyping("no\n", "proof-test", ...words, "--listen", new URL(daemon.address).host);
    // The program's own answer, whichever it is so soon after a start: the door let the command through.
    expect(told.complaints.join()).toMatch(/the proof test was abandoned|proof test, begin: refused: /);
    const key = readFileSync(accessFiles(folder.path, true).localKey, "utf8").trim();
    const stolen = await visitor("127.0.0.6").ask("GET", "/api/v1/state", { Authorization: `Bearer ${key}` });
    expect(stolen.status).toBe(401);
  });
});

describe("when the daemon is gone", () => {
  it("the proxy says so, and logins stand when it is back", async () => {
    const operator = await loggedIn("127.0.0.2");
    const port = daemonPort();
    await daemon.kill();
    // RFC 9110, section 15.6.3: bad gateway.
    expect((await operator.ask("GET", "/healthz")).status).toBe(502);
    daemon = await startDaemon(port);
    await vi.waitFor(async () => expect((await operator.ask("GET", "/healthz")).status).toBe(200), PATIENT);
    expect((await operator.ask("GET", "/api/v1/state")).status).toBe(200);
  });
});

describe("a page in Chromium", () => {
  it("logs in and follows the feedpoint live", async () => {
    const browser = await launchChromium([`--host-resolver-rules=MAP ${CERTIFIED_NAME} 127.0.0.1`]);
    try {
      // The certificate signs itself; a person would say yes once.
      const context = await browser.newContext({ ignoreHTTPSErrors: true, viewport: { width: 1280, height: 900 } });
      const page = await context.newPage();
      await page.goto(`https://${CERTIFIED_NAME}:${nginx.port}/`);
      await page.fill("main input[type=password]", VIEWER, { timeout: 30_000 });
      await page.keyboard.press("Enter");
      await page.waitForSelector(".now", { timeout: 30_000 });
      expect(await context.cookies()).toMatchObject([
        { name: "__Host-emberwire", httpOnly: true, secure: true, sameSite: "Strict", path: "/" },
      ]);
      expect(await page.evaluate("document.cookie")).toBe("");
      await page.waitForSelector("text=data live", { timeout: 30_000 });
      await context.close();
    } finally {
      await browser.close();
    }
  });
});
