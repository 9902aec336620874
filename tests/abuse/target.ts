// The compiled daemon with both passwords set, and raw sockets at it: what is said on them is exactly what a test wrote.

import { randomBytes } from "node:crypto";
import { once } from "node:events";
import { connect, type Socket } from "node:net";
import { EMPTY_REGISTER, writeRegister } from "../../daemon/access/register.ts";
import { drawToken, hashSecret } from "../../daemon/access/token.ts";
import { accessFiles } from "../../daemon/folder.ts";
import type { RecordPage } from "../../daemon/wire/alarm.ts";
import { type DaemonProcess, scratchFolder, startProcess } from "../browser/feedpoint.ts";
import { cheapSeal } from "../support/cheap-seal.ts";

export const OPERATOR = "four wires in the orchard";
const VIEWER = "a horse on the tower roof";

export type Target = DaemonProcess & {
  readonly host: string;
  /** A token that may read. */
  readonly reader: string;
  remove(): Promise<void>;
};

export async function startTarget(): Promise<Target> {
  const folder = await scratchFolder();
  const reader = drawToken(randomBytes);
  writeRegister(accessFiles(folder.path, true).register, {
    ...EMPTY_REGISTER,
    operator: cheapSeal(OPERATOR),
    viewer: cheapSeal(VIEWER),
    tokens: [{ name: "reader", scopes: ["read"], hash: hashSecret(reader) ?? "", madeWallSeconds: 0 }],
  });
  const daemon = await startProcess(folder.path, 1, 0);
  const { host } = new URL(daemon.address);
  return {
    ...daemon,
    host,
    reader,
    remove: async () => {
      await daemon.kill();
      await folder.remove();
    },
  };
}

/** A connection that minds nothing the daemon does to it; `from` is any of this machine's own addresses. */
export async function dial({ host }: Target, from = "127.0.0.1"): Promise<Socket> {
  const { hostname, port } = new URL(`http://${host}`);
  const socket = connect({ port: Number(port), host: hostname, localAddress: from });
  socket.on("error", () => {});
  await once(socket, "connect").catch(() => {});
  return socket;
}

/** Everything the daemon says to `text` until it ends the connection, or until `seconds` have passed. */
export async function exchange(
  target: Target,
  text: string | Buffer,
  { seconds = 5, from = "127.0.0.1" } = {},
): Promise<string> {
  const socket = await dial(target, from);
  const said: Buffer[] = [];
  socket.on("data", (chunk: Buffer) => said.push(chunk));
  socket.write(text);
  await once(socket, "close", { signal: AbortSignal.timeout(seconds * 1000) }).catch(() => {});
  socket.destroy();
  return Buffer.concat(said).toString("latin1");
}

/** The status of each answer in what was said. */
export const statusesIn = (said: string): readonly number[] =>
  [...said.matchAll(/HTTP\/1\.1 (\d{3}) /g)].map(([, status]) => Number(status));

/** Logs in and returns the session's cookie as it is sent back. */
export async function logIn(
  target: Target,
  as: "operator" | "viewer",
  headers: Readonly<Record<string, string>> = {},
): Promise<string> {
  const response = await fetch(`${target.address}api/v1/access/login`, {
    method: "POST",
    headers: { "Content-Type": "application/json", ...headers },
    body: JSON.stringify({ as, password: as === "operator" ? OPERATOR : VIEWER }),
  });
  if (!response.ok) throw new Error(`login: ${response.status}`);
  return response.headers.get("set-cookie")?.split(";")[0] ?? "";
}

/** Lines of the record about commands, newest first, without those of the demo's season. */
export async function commandsIn(target: Target): Promise<RecordPage["lines"]> {
  const response = await fetch(`${target.address}api/v1/record?kinds=command,note&lines=200`, {
    headers: { Authorization: `Bearer ${target.reader}` },
  });
  return ((await response.json()) as RecordPage).lines.filter(({ by }) => by !== "demo");
}
