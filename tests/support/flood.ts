// A crowd in a thread of its own, from several addresses: sockets that talk out of turn, requests by the hundred, one command asked
// over and over.

import { once } from "node:events";
import { type IncomingMessage, type RequestOptions, request } from "node:http";
import { parentPort, workerData } from "node:worker_threads";
import { WebSocket } from "ws";

/** How a crowd fared. */
export type Flooded = { readonly answered: number; readonly refused: number; readonly accepted: number };

const address = workerData as string;
const SOCKETS = 100;
const REQUESTS = 1000;
const COMMANDS = 60;
const DIFFERENT_COMMANDS = 20;

/** Of one address the daemon takes a part of all connections only. */
const ADDRESSES = 8;

let next = 0;
function localAddress(): string {
  next += 1;
  return `127.0.0.${1 + (next % ADDRESSES)}`;
}

async function ask(path: string, options: RequestOptions = {}, body?: string): Promise<number | undefined> {
  const signal = AbortSignal.timeout(20_000);
  const asked = request(`${address}${path}`, { ...options, localAddress: localAddress(), agent: false, signal });
  asked.end(body);
  const [response] = (await once(asked, "response")) as [IncomingMessage];
  response.resume();
  await once(response, "end");
  return response.statusCode;
}

const commands = Array.from({ length: COMMANDS }, (_, index) => {
  const name = `flood-${index % DIFFERENT_COMMANDS}`;
  const body = JSON.stringify({ id: name, action: { kind: "note", text: name } });
  return ask("api/v1/commands", { method: "POST", headers: { "Content-Type": "application/json" } }, body);
});
const carried = await Promise.allSettled(commands);

const sockets = Array.from({ length: SOCKETS }, () => {
  const socket = new WebSocket(`${address.replace("http", "ws")}api/v1/stream`, { localAddress: localAddress() });
  socket.on("open", () => socket.send("noise"));
  socket.on("error", () => {});
  return socket;
});

const requests = Array.from({ length: REQUESTS }, () => ask("api/v1/state"));
const outcomes = [...carried, ...(await Promise.allSettled(requests))];
const statuses = outcomes.map((outcome) => (outcome.status === "fulfilled" ? outcome.value : null));
for (const socket of sockets) socket.terminate();

const flooded: Flooded = {
  answered: statuses.filter((status) => status === 200).length,
  refused: statuses.filter((status) => status !== 200).length,
  accepted: statuses.slice(0, COMMANDS).filter((status) => status === 200).length,
};
parentPort?.postMessage(flooded);
