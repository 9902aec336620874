// The line from a command to the running daemon on this machine: HTTP or HTTPS, with the local key that proves who may read the
// daemon's folder. It pins the configured certificate and sends nothing to anybody else.

import { X509Certificate } from "node:crypto";
import { once } from "node:events";
import { readFileSync } from "node:fs";
import { request } from "node:http";
import { connect as connectPlain, type Socket } from "node:net";
import { connect as connectEncrypted } from "node:tls";
import { certificateOf } from "../config/certificate.ts";
import type { ReadConfig } from "../config/parse.ts";
import { BadNews } from "../exit.ts";
import { accessFiles, dataFolder } from "../folder.ts";

export type DaemonLine = {
  readonly address: string;
  /** @throws BadNews when no daemon answers, or another one than the config's */
  post(path: string, body: unknown): Promise<{ readonly status: number; readonly answer: unknown }>;
};

export type LineOptions = {
  readonly read: ReadConfig;
  readonly host: string;
  readonly port: number;
  readonly simulated: boolean;
  /** Replaces `log.folder`. */
  readonly folder: string | undefined;
  readonly deadlineSeconds: number;
};

const MOST_BYTES = 1024 * 1024;
const UNAUTHORIZED = 401;

/** A line to the daemon that this config describes; nothing is opened before something is sent. */
export function daemonLine({ read, host, port, simulated, folder, deadlineSeconds }: LineOptions): DaemonLine {
  const files = certificateOf(read.config.listen, read.placeOf);
  // A daemon that listens everywhere is spoken to here.
  const near = host === "0.0.0.0" || host === "::" ? "127.0.0.1" : host;
  const shown = near.includes(":") ? `[${near}]` : near;
  const address = `${files === null ? "http" : "https"}://${shown}:${port}`;
  const { localKey } = accessFiles(dataFolder(folder ?? read.config.log.folder), simulated);
  const silence = (): BadNews =>
    new BadNews([`no daemon answers at ${address}: start it, or say where it listens with --listen`]);

  const send = async (path: string, body: unknown, key: string | null): ReturnType<DaemonLine["post"]> => {
    const signal = AbortSignal.timeout(deadlineSeconds * 1000);
    const socket = await opened(files?.certificate ?? null, near, port, signal, silence);
    const text = JSON.stringify(body);
    const headers = {
      Host: `${shown}:${port}`,
      "Content-Type": "application/json",
      "Content-Length": Buffer.byteLength(text),
      Connection: "close",
      ...(key === null ? {} : { Authorization: `Bearer ${key}` }),
    };
    try {
      const asked = request({ method: "POST", path, headers, signal, createConnection: () => socket });
      asked.end(text);
      const [response] = await once(asked, "response");
      let said = "";
      for await (const chunk of response) {
        said += String(chunk);
        if (said.length > MOST_BYTES) throw silence();
      }
      return { status: response.statusCode, answer: JSON.parse(said) as unknown };
    } catch (error) {
      throw error instanceof BadNews ? error : silence();
    } finally {
      socket.destroy();
    }
  };
  const post: DaemonLine["post"] = async (path, body) => {
    const key = keyIn(localKey);
    const first = await send(path, body, key);
    // The key of another daemon is no key here; without a password none is needed.
    const outcome = first.status === UNAUTHORIZED && key !== null ? await send(path, body, null) : first;
    if (outcome.status !== UNAUTHORIZED) return outcome;
    const why =
      key === null
        ? "which cannot be read: run this with sudo, or as its user"
        : "and what stands there is another's: give the daemon's --data";
    throw new BadNews([`the daemon wants the key in ${localKey}, ${why}`]);
  };
  return { address, post };
}

/** Null where there is none that this user may read: without a password the daemon asks for none. */
function keyIn(file: string): string | null {
  try {
    return readFileSync(file, "utf8").trim();
  } catch {
    return null;
  }
}

async function opened(
  certificate: string | null,
  host: string,
  port: number,
  signal: AbortSignal,
  silence: () => BadNews,
): Promise<Socket> {
  // The key goes to who holds the configured certificate, and whatever name stands in that is beside the point here.
  const socket =
    certificate === null ? connectPlain({ host, port }) : connectEncrypted({ host, port, rejectUnauthorized: false });
  try {
    await once(socket, certificate === null ? "connect" : "secureConnect", { signal });
  } catch {
    socket.destroy();
    throw silence();
  }
  if (certificate === null || !("getPeerX509Certificate" in socket)) return socket;
  if (socket.getPeerX509Certificate()?.fingerprint256 === new X509Certificate(readFileSync(certificate)).fingerprint256)
    return socket;
  socket.destroy();
  throw new BadNews([
    `what answers at ${host}:${port} does not show the certificate in ${certificate}: a new one is taken up within a minute`,
  ]);
}
