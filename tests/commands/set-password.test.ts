// Passwords and tokens from a shell, and a running daemon that follows: over TLS with a certificate made here, with the machine's own
// commands by its key, and with nothing of the password anywhere.

import { spawn } from "node:child_process";
import { once } from "node:events";
import { readdirSync, readFileSync, statSync, writeFileSync } from "node:fs";
import type { IncomingMessage } from "node:http";
import { request } from "node:https";
import { join, resolve } from "node:path";
import { connect } from "node:tls";
import { describe, expect, it, vi } from "vitest";
import { makeCertificate } from "../support/certificate.ts";
import { testFolder } from "../support/folder.ts";
import { freePort } from "../support/free-port.ts";
import { runProgram, runProgramTyping } from "../support/told-program.ts";

const PASSWORD = "four wires in the orchard";

describe("set-password", () => {
  it("takes a line, seals it in a file for its owner only, and says what is wrong with others", async () => {
    const folder = testFolder();
    const set = (typed: string, ...words: string[]) =>
      runProgramTyping(typed, "set-password", "--data", folder, ...words);
    expect(await set("short\n")).toMatchObject({
      status: 2,
      complaints: [expect.stringContaining("at least 10 characters")],
    });
    expect(await set("")).toMatchObject({ status: 2, complaints: [expect.stringContaining("got nothing")] });
    expect(await set(`${PASSWORD}\n`, "--viewer")).toMatchObject({ status: 2 });
    const told = await set(`${PASSWORD}\n`);
    expect(told).toMatchObject({ status: 0, complaints: [] });
    expect(told.out).not.toContain(PASSWORD);
    expect(readdirSync(folder)).toEqual(["access.json"]);
    const file = join(folder, "access.json");
    expect(statSync(file).mode & 0o777).toBe(0o600);
    expect(readFileSync(file, "utf8")).not.toContain("wires");
    expect(await set(`${PASSWORD} too\n`, "--viewer")).toMatchObject({ status: 0 });
    expect(await set("", "--remove")).toMatchObject({ status: 2 });
    expect(await set("", "--viewer", "--remove")).toMatchObject({ status: 0 });
    expect(await set("", "--remove")).toMatchObject({ status: 0 });
    writeFileSync(file, "{");
    expect(await set(`${PASSWORD}\n`)).toMatchObject({
      status: 2,
      complaints: [expect.stringContaining("access.json")],
    });
  });
});

describe("token", () => {
  it("is shown once, listed without its secret, and withdrawn", async () => {
    const folder = testFolder();
    const token = (...words: string[]) => runProgram("token", ...words, "--data", folder);
    const made = await token("add", "pager", "--scope", "read,acknowledge");
    expect(made.status).toBe(0);
    expect(made.out).toMatch(/^emberwire_[A-Za-z0-9_-]{43}\n$/);
    const listed = await token("list");
    expect(listed.out).toContain("pager  read, acknowledge");
    expect(listed.out + readFileSync(join(folder, "access.json"), "utf8")).not.toContain(made.out.trim().slice(10));
    expect(await token("add", "pager")).toMatchObject({ status: 2 });
    expect(await token("add", "x", "--scope", "operate")).toMatchObject({ status: 2 });
    expect(await token("remove", "nobody")).toMatchObject({ status: 2 });
    expect(await token("remove", "pager")).toMatchObject({ status: 0 });
  });
});

describe("a daemon with its own certificate and a password", () => {
  it("speaks TLS 1.2 and above, marks its cookie, and is asked by its own machine's commands without a login", async () => {
    const folder = testFolder();
    const config = join(folder, "config.toml");
    const { certificate, key } = await makeCertificate(folder);
    const port = await freePort();
    writeFileSync(
      config,
      `[transformer]\nmix = "43"\ntoroids = 3\ntoroid = "61.0x35.55x12.7mm"\nprimary_turns = 3\n[relay]\nreduce = 23\ninhibit = 24\n[listen]\nport = ${port}\ncertificate = "${certificate}"\nkey = "${key}"\n[log]\nfolder = "${folder}"\n`,
    );
    expect(await runProgramTyping(`${PASSWORD}\n`, "set-password", "--config", config)).toMatchObject({ status: 0 });
    const child = spawn(process.execPath, [resolve("dist/daemon/main.js"), "run", "--simulated", "--config", config], {
      stdio: ["ignore", "pipe", "pipe"],
    });
    let said = "";
    for (const stream of [child.stdout, child.stderr])
      stream.on("data", (text: Buffer) => {
        said += text.toString();
      });
    try {
      const ca = readFileSync(certificate);
      const ask = async (method: string, path: string, body?: string, cookie?: string) => {
        const headers = {
          ...(body === undefined ? {} : { "Content-Type": "application/json" }),
          ...(cookie === undefined ? {} : { Cookie: cookie }),
        };
        const own = { host: "127.0.0.1", port, ca, checkServerIdentity: () => undefined };
        const asked = request({ ...own, method, path, headers });
        asked.end(body);
        const [response] = (await once(asked, "response", { signal: AbortSignal.timeout(10_000) })) as [
          IncomingMessage,
        ];
        let text = "";
        for await (const chunk of response) text += String(chunk);
        return { statusCode: response.statusCode, headers: response.headers, text };
      };
      await vi.waitFor(async () => expect((await ask("GET", "/healthz")).statusCode).toBe(200), {
        timeout: 25_000,
        interval: 100,
      });
      const login = await ask("POST", "/api/v1/access/login", JSON.stringify({ as: "operator", password: PASSWORD }));
      expect(login.statusCode).toBe(200);
      expect(login.headers["set-cookie"]?.[0]).toMatch(
        /^__Host-emberwire=[\w-]{43}; Path=\/; HttpOnly; SameSite=Strict; Secure$/,
      );
      // A slip of the finger is a password too.
      const slip = `${PASSWORD}s`;
      const wrong = await ask("POST", "/api/v1/access/login", JSON.stringify({ as: "operator", password: slip }));
      expect(wrong.statusCode).toBe(401);
      // RFC 8996: nothing older than TLS 1.2.
      const old = connect({
        port,
        host: "127.0.0.1",
        ca,
        minVersion: "TLSv1",
        maxVersion: "TLSv1.1",
        ciphers: "DEFAULT@SECLEVEL=0",
        checkServerIdentity: () => undefined,
      });
      await expect(once(old, "secureConnect")).rejects.toThrow();
      const refused = await ask(
        "POST",
        "/api/v1/commands",
        JSON.stringify({ action: { kind: "proof test", step: "begin" } }),
      );
      expect(refused.statusCode).toBe(401);
      const told = await runProgramTyping("no\n", "proof-test", "--simulated", "--config", config);
      // The program's own answer, whichever it is so soon after a start: the door let the command through.
      expect(told.complaints.join()).toMatch(/the proof test was abandoned|proof test, begin: refused: /);
      await vi.waitFor(
        async () => {
          const cookie = login.headers["set-cookie"]?.[0]?.split(";")[0] ?? "";
          const record = await ask("GET", "/api/v1/record?kinds=command,event", undefined, cookie);
          expect(record.text).toContain("a wrong operator password from 127.0.0.1");
          expect(record.text).toMatch(/"tag":"proof test","text":"[^"]*from 127\.0\.0\.1[^"]*","by":"local command"/);
        },
        { timeout: 15_000, interval: 100 },
      );
      child.kill("SIGTERM");
      await once(child, "close", { signal: AbortSignal.timeout(15_000) });
      // Log, journal, sessions, register and config: neither the password nor the slip stands anywhere.
      expect(said).toContain(`https://127.0.0.1:${port}/`);
      const files = readdirSync(folder, { recursive: true, withFileTypes: true }).filter((entry) => entry.isFile());
      expect(files.map(({ name }) => name)).toEqual(expect.arrayContaining(["access.json", "simulated.db"]));
      const texts = files.map(({ parentPath, name }) => readFileSync(join(parentPath, name), "latin1"));
      expect([said, ...texts].filter((text) => text.includes("wires in the orchard"))).toEqual([]);
      expect(texts.filter((text) => text.includes("a wrong operator password"))).not.toEqual([]);
    } finally {
      child.kill("SIGKILL");
    }
  }, 60_000);
});
