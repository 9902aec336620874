// The page's certificate: what is said of files that will not do, and a real TLS server that follows renewals as tools make them.

import { execFileSync } from "node:child_process";
import { X509Certificate } from "node:crypto";
import { once } from "node:events";
import {
  appendFileSync,
  copyFileSync,
  mkdirSync,
  readFileSync,
  renameSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from "node:fs";
import { createServer, type Server } from "node:https";
import type { AddressInfo } from "node:net";
import { join } from "node:path";
import { connect } from "node:tls";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { checkCertificate } from "../../daemon/checkup/certificate.ts";
import {
  type CertificateFiles,
  CertificateTrouble,
  followCertificate,
  readCertificate,
} from "../../daemon/outputs/certificate.ts";
import type { Cancel } from "../../hardware/ports.ts";
import { CERTIFIED_NAME, makeCertificate } from "../support/certificate.ts";
import { testFolderPath } from "../support/folder.ts";
import { ManualClock } from "../support/manual-clock.ts";

const { folder, remove } = testFolderPath();
/** Two pairs, made once. */
let [first, second]: readonly CertificateFiles[] = [];
const pair = (which: "first" | "second"): CertificateFiles =>
  (which === "first" ? first : second) ?? expect.unreachable("no certificate was made");
const printOf = ({ certificate }: CertificateFiles): string =>
  new X509Certificate(readFileSync(certificate)).fingerprint256;

beforeAll(async () => {
  const made = ["first", "second"].map(async (name) => {
    mkdirSync(join(folder, name));
    return makeCertificate(join(folder, name));
  });
  [first, second] = await Promise.all(made);
});
afterAll(remove);

describe("files that will not do", () => {
  const at = (name: string, text: string): string => {
    writeFileSync(join(folder, name), text);
    return join(folder, name);
  };
  const text = (file: string): string => readFileSync(file, "utf8");
  const locked = (): string =>
    execFileSync("openssl", ["ec", "-in", pair("first").key, "-aes256", "-passout", "pass:a horse"], {
      encoding: "utf8",
      stdio: ["ignore", "pipe", "ignore"],
    });

  it.each<[string, () => CertificateFiles, "certificate" | "key", RegExp]>([
    ["another key", () => ({ ...pair("first"), key: pair("second").key }), "key", /another key in .*second.key\.pem/],
    [
      "a key with a passphrase",
      () => ({ ...pair("first"), key: at("locked.pem", locked()) }),
      "key",
      /without a passphrase/,
    ],
    [
      "a certificate as key",
      () => ({ ...pair("first"), key: pair("first").certificate }),
      "key",
      /a private key in PEM/,
    ],
    ["no key", () => ({ ...pair("first"), key: join(folder, "none.pem") }), "key", /none\.pem \(ENOENT\)/],
    [
      "no certificate",
      () => ({ ...pair("first"), certificate: join(folder, "none.pem") }),
      "certificate",
      /\(ENOENT\)/,
    ],
    ["a folder", () => ({ ...pair("first"), certificate: folder }), "certificate", /\(EISDIR\)/],
    ["nonsense", () => ({ ...pair("first"), certificate: at("x.pem", "x") }), "certificate", /a certificate in PEM/],
    [
      "a chain whose second is spoilt",
      () => ({
        ...pair("first"),
        certificate: at(
          "chain.pem",
          `${text(pair("first").certificate)}-----BEGIN CERTIFICATE-----\nx\n-----END CERTIFICATE-----\n`,
        ),
      }),
      "certificate",
      /certificates that TLS takes, got .*chain\.pem/,
    ],
  ])("%s: it is said which file, what was expected and what there is", (_what, files, which, words) => {
    let trouble: unknown = null;
    try {
      readCertificate(files());
    } catch (error) {
      trouble = error;
    }
    if (!(trouble instanceof CertificateTrouble)) expect.unreachable(String(trouble));
    expect(trouble.file).toBe(which);
    expect(`expected ${trouble.expected}, got ${trouble.message}`).toMatch(words);
  });
});

describe("a server whose files are renewed", () => {
  let clock: ManualClock;
  let server: Server;
  let live: CertificateFiles;
  let notes: string[];
  let unfollow: Cancel;

  beforeEach(async () => {
    const place = join(folder, "live");
    rmSync(place, { recursive: true, force: true });
    mkdirSync(place);
    live = { certificate: join(place, "certificate.pem"), key: join(place, "key.pem") };
    put("certificate", "first");
    put("key", "first");
    clock = new ManualClock();
    notes = [];
    server = createServer(readCertificate(live)).listen(0, "127.0.0.1");
    await once(server, "listening");
    unfollow = followCertificate(server, live, clock, (text) => notes.push(text));
  });
  afterEach(() => {
    unfollow();
    server.close();
  });

  const put = (which: keyof CertificateFiles, from: "first" | "second"): void =>
    copyFileSync(pair(from)[which], live[which]);

  /** Fingerprint of what a client is shown now. */
  async function shown(): Promise<string> {
    const { port } = server.address() as AddressInfo;
    const client = connect({ port, host: "127.0.0.1", servername: CERTIFIED_NAME, rejectUnauthorized: false });
    await once(client, "secureConnect", { signal: AbortSignal.timeout(10_000) });
    const print = client.getPeerX509Certificate()?.fingerprint256 ?? "";
    client.destroy();
    return print;
  }

  it("shows the new one within a minute, without a restart", async () => {
    expect(await shown()).toBe(printOf(pair("first")));
    put("certificate", "second");
    put("key", "second");
    clock.advance(60);
    expect(notes).toEqual(["the page has a new certificate"]);
    expect(await shown()).toBe(printOf(pair("second")));
    clock.advance(600);
    expect(notes).toHaveLength(1);
  });

  it("keeps the old one while only one of the two files is new, and says so once", async () => {
    put("certificate", "second");
    clock.advance(300);
    expect(notes).toEqual([
      expect.stringMatching(/^the page keeps its old certificate: expected the private key of .*, got another key/),
    ]);
    expect(await shown()).toBe(printOf(pair("first")));
    put("key", "second");
    clock.advance(60);
    expect(notes.at(-1)).toBe("the page has a new certificate");
    expect(await shown()).toBe(printOf(pair("second")));
  });

  it("follows links that are turned to another folder, as tools for renewal do", async () => {
    for (const which of ["certificate", "key"] as const) {
      symlinkSync(pair("second")[which], `${live[which]}.new`);
      renameSync(`${live[which]}.new`, live[which]);
    }
    clock.advance(60);
    expect(await shown()).toBe(printOf(pair("second")));
  });

  it("lives on when the files, or the way to them, are gone or spoilt, and takes them up when they are back", async () => {
    const place = join(folder, "live");
    rmSync(place, { recursive: true });
    // A file where the folder was: the way there is no way (ENOTDIR).
    writeFileSync(place, "");
    clock.advance(60);
    rmSync(place);
    clock.advance(60);
    mkdirSync(place);
    put("certificate", "second");
    put("key", "second");
    appendFileSync(live.key, "");
    writeFileSync(live.certificate, "half of");
    clock.advance(60);
    expect(notes).toHaveLength(3);
    expect(await shown()).toBe(printOf(pair("first")));
    put("certificate", "second");
    clock.advance(60);
    expect(await shown()).toBe(printOf(pair("second")));
  });
});

describe("check", () => {
  const now = (): number => Date.parse(new X509Certificate(readFileSync(pair("first").certificate)).validFrom) / 1000;
  const check = (files: CertificateFiles | null, names: readonly string[] = [], days = 1, trusted = true) =>
    checkCertificate(files, names, { wallSeconds: () => now() + days * 86_400, wallIsTrusted: () => trusted });

  it("finds nothing to say where the page has none", () => {
    expect(check(null)).toEqual([]);
  });

  // The README's line makes one for 825 days.
  it.each<[string, () => ReturnType<typeof check>, string, RegExp]>([
    ["a good one", () => check(pair("first"), [CERTIFIED_NAME]), "good", /^fits its key, good until \d{4}-\d\d-\d\d$/],
    ["one that runs out soon", () => check(pair("first"), [], 815), "warning", /^it runs out on \d{4}-/],
    ["one that ran out", () => check(pair("first"), [], 826), "bad", /^it ran out on \d{4}-.*browsers refuse/],
    ["one that a wrong clock would call so", () => check(pair("first"), [], 826, false), "good", /^fits its key/],
    ["one of tomorrow", () => check(pair("first"), [], -1), "bad", /^it holds from /],
    [
      "one for another name",
      () => check(pair("first"), ["gate.example.org"]),
      "warning",
      /not for gate\.example\.org \(it has DNS:feedpoint\.local\)/,
    ],
    ["one with another key", () => check({ ...pair("first"), key: pair("second").key }), "bad", /got another key/],
  ])("%s", (_what, look, verdict, says) => {
    const [finding, ...more] = look();
    expect(more).toEqual([]);
    expect(finding).toMatchObject({ what: "certificate", verdict, says: expect.stringMatching(says) });
    expect(finding?.remedy === null).toBe(verdict === "good");
  });
});
