// A real mosquitto on loopback, with password, access list and, where asked for, TLS under an authority made on the spot; it can be
// killed as a power cut would and started again on the same port. It belongs to one test and is gone with it.

import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { chmodSync, mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { connect as openSocket } from "node:net";
import { join } from "node:path";
import { pause, systemClock } from "../../hardware/clock.ts";
import { exec } from "../../systemd/package/exec.ts";
import { freePort } from "./free-port.ts";

/** Debian's place for it. */
const MOSQUITTO = "/usr/sbin/mosquitto";
const DEADLINE_SECONDS = 20;

export type Mosquitto = {
  readonly port: number;
  /** Port with TLS; 0 without. */
  readonly securePort: number;
  readonly passwordFile: string;
  /** The authority of the broker's certificate. */
  readonly caFile: string;
  /** Running now. */
  readonly process: () => ChildProcess;
  /** As a power cut would: nothing is written any more. */
  kill(): Promise<void>;
  start(): Promise<void>;
  /** What it wrote, for finding out what it was asked. */
  log(): string;
  stop(): Promise<void>;
};

export const USER = "gate";
const PASSWORD = "orchard";

/** Starts one in `folder`; `keeps` = retained messages and sessions live on after a kill. */
export async function startMosquitto(
  folder: string,
  options: { readonly keeps?: boolean; readonly tls?: boolean } = {},
): Promise<Mosquitto> {
  mkdirSync(folder, { recursive: true, mode: 0o755 });
  const at = (name: string): string => join(folder, name);
  const port = await freePort();
  const securePort = options.tls === true ? await freePort() : 0;
  writeFileSync(at("password"), `${PASSWORD}\n`, { mode: 0o600 });
  await exec("mosquitto_passwd", ["-b", "-c", at("users"), USER, PASSWORD], { deadlineSeconds: DEADLINE_SECONDS });
  await exec("mosquitto_passwd", ["-b", at("users"), "reader", PASSWORD], { deadlineSeconds: DEADLINE_SECONDS });
  writeFileSync(at("access"), `user ${USER}\ntopic readwrite emberwire/#\nuser reader\ntopic read emberwire/#\n`);
  if (options.tls === true) await makeAuthority(folder);
  writeFileSync(at("mosquitto.conf"), configText(folder, port, securePort, options.keeps === true));
  let child: ChildProcess = spawn("true");
  const start = async (): Promise<void> => {
    child = spawn(MOSQUITTO, ["-c", at("mosquitto.conf")], { stdio: "ignore" });
    await answers(port, child);
  };
  const end = async (signal: NodeJS.Signals): Promise<void> => {
    if (child.exitCode !== null || child.signalCode !== null) return;
    child.kill(signal);
    await once(child, "exit");
  };
  await start();
  return {
    port,
    securePort,
    passwordFile: at("password"),
    caFile: at("ca.pem"),
    process: () => child,
    kill: () => end("SIGKILL"),
    start,
    log: () => readFileSync(at("log"), "utf8"),
    stop: () => end("SIGTERM"),
  };
}

function configText(folder: string, port: number, securePort: number, keeps: boolean): string {
  return [
    "per_listener_settings false",
    `listener ${port} 127.0.0.1`,
    ...(securePort === 0
      ? []
      : [`listener ${securePort} 127.0.0.1`, `certfile ${folder}/server.pem`, `keyfile ${folder}/server.key`]),
    "allow_anonymous false",
    `password_file ${folder}/users`,
    `acl_file ${folder}/access`,
    `persistence ${keeps}`,
    `persistence_location ${folder}/`,
    ...(keeps ? ["autosave_interval 1", "autosave_on_changes true"] : []),
    `log_dest file ${folder}/log`,
    "log_type all",
    // Started by root it would change to a user who cannot read this folder; anybody else's it stays.
    "user root",
    "",
  ].join("\n");
}

/** Until it takes a connection. */
async function answers(port: number, child: ChildProcess): Promise<void> {
  const clock = await systemClock();
  const until = clock.monotonicSeconds() + DEADLINE_SECONDS;
  while (clock.monotonicSeconds() < until && child.exitCode === null) {
    const socket = openSocket(port, "127.0.0.1");
    const taken = await once(socket, "connect").then(
      () => true,
      () => false,
    );
    socket.destroy();
    if (taken) return;
    await pause(clock, 0.02);
  }
  throw new Error(`mosquitto does not listen on port ${port} (exit status ${child.exitCode})`);
}

/** An authority, a certificate of it for 127.0.0.1, and another authority that has nothing to do with it. */
async function makeAuthority(folder: string): Promise<void> {
  const openssl = (...words: string[]) => exec("openssl", words, { deadlineSeconds: DEADLINE_SECONDS, cwd: folder });
  const authority = (name: string) =>
    openssl(
      ...["req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes", "-days", "2"],
      ...["-subj", `/CN=${name}`, "-keyout", `${name}.key`, "-out", `${name}.pem`],
    );
  await authority("ca");
  await authority("stranger");
  await openssl(
    ...["req", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes", "-subj", "/CN=broker"],
    ...["-keyout", "server.key", "-out", "server.csr"],
  );
  writeFileSync(join(folder, "names"), "subjectAltName=IP:127.0.0.1\n");
  await openssl(
    ...["x509", "-req", "-in", "server.csr", "-CA", "ca.pem", "-CAkey", "ca.key", "-CAcreateserial", "-days", "2"],
    ...["-extfile", "names", "-out", "server.pem"],
  );
  chmodSync(join(folder, "server.key"), 0o644);
}
