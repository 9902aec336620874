// Debian's Prometheus at a feedpoint that asks who looks and speaks TLS with a certificate of its own: the example's lines for both,
// a token that is withdrawn, and a certificate that is not the one it knows.

import { mkdir, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { EMPTY_REGISTER, writeRegister } from "../../daemon/access/register.ts";
import { accessFiles } from "../../daemon/folder.ts";
import { installHostPackages } from "../../systemd/package/host-packages.ts";
import { type DaemonProcess, scratchFolder, startProcess } from "../browser/feedpoint.ts";
import { makeCertificate } from "../support/certificate.ts";
import { cheapSeal } from "../support/cheap-seal.ts";
import { runProgram } from "../support/told-program.ts";
import { type Prometheus, startPrometheus } from "./prometheus.ts";

const PATIENT = { timeout: 30_000, interval: 200 };

const folder = await scratchFolder();
const at = (name: string): string => join(folder.path, name);
const started: { stop(): Promise<void> }[] = [];
let daemon: DaemonProcess;
let certificate: string;

beforeAll(async () => {
  await installHostPackages("the test of the metrics", ["prometheus"], (line) => process.stdout.write(`${line}\n`));
  const files = await makeCertificate(folder.path);
  ({ certificate } = files);
  await writeFile(
    at("emberwire.toml"),
    `[transformer]\nmix = "43"\ntoroids = 3\ntoroid = "61.0x35.55x12.7mm"\nprimary_turns = 3\n[relay]\nreduce = 23\ninhibit = 24\n[listen]\ncertificate = "${certificate}"\nkey = "${files.key}"\n`,
  );
  const sealed = { operator: cheapSeal("four wires in the orchard"), viewer: cheapSeal("a horse on the tower roof") };
  writeRegister(accessFiles(folder.path, true).register, { ...EMPTY_REGISTER, ...sealed });
  daemon = await startProcess(folder.path, 1, 0, at("emberwire.toml"));
  started.push(daemon);
});

afterAll(async () => {
  for (const { stop } of started.reverse()) await stop();
  await folder.remove();
});

async function prometheus(name: string, known: string): Promise<Prometheus> {
  await mkdir(at(name));
  const made = await startPrometheus(at(name), new URL(daemon.address).host, {
    tokenFile: at("token"),
    certificate: known,
  });
  started.push(made);
  return made;
}

type Targets = { readonly activeTargets: readonly { readonly health: string; readonly lastError: string }[] };

/** Waits until its one target is so, and says why. */
const target = (store: Prometheus, health: string): Promise<string> =>
  vi.waitFor(async () => {
    const [only] = (await store.ask<Targets>("targets")).activeTargets;
    expect(only).toMatchObject({ health });
    return only?.lastError ?? "";
  }, PATIENT);

describe("a Prometheus with a token and the board's certificate", () => {
  it("reads over TLS until the token is withdrawn, and then is told why not", async () => {
    expect(daemon.address).toMatch(/^https:/);
    const token = (...words: string[]) => runProgram("token", ...words, "--data", folder.path);
    const made = await token("add", "prometheus");
    await writeFile(at("token"), made.out.trim());
    const store = await prometheus("knows", certificate);
    expect(await target(store, "up")).toBe("");
    await vi.waitFor(async () => expect(await store.query("core_upper_celsius")).toHaveLength(1), PATIENT);
    expect((await token("remove", "prometheus")).status).toBe(0);
    expect(await target(store, "down")).toContain("401 Unauthorized");
    await vi.waitFor(async () => expect(await store.query("core_upper_celsius")).toEqual([]), PATIENT);
  });

  it("does not read from a daemon that shows another certificate than the one it knows", async () => {
    await mkdir(at("other"));
    const other = await makeCertificate(at("other"));
    expect(await target(await prometheus("mistakes", other.certificate), "down")).toMatch(/x509|certificate/);
  });
});
