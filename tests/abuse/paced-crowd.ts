// A crowd in a thread of its own that asks for so many answers a second, pipelined on a few lines, whether or not they come.

import { connect, type Socket } from "node:net";
import { parentPort, workerData } from "node:worker_threads";

export type CrowdOrder = { readonly host: string; readonly perSecond: number; readonly seconds: number };
export type CrowdOutcome = { readonly asked: number; readonly answered: number; readonly seconds: number };

const { host, perSecond, seconds } = workerData as CrowdOrder;
const LINES = 20;
const TICK_SECONDS = 0.01;
const PATHS = ["/api/v1/state", "/api/v1/alarms", "/healthz", "/", "/api/v1/access", "/metrics", "/api/v1/nothing"];

const { hostname, port } = new URL(`http://${host}`);
let [asked, answered] = [0, 0];
const lines: Socket[] = Array.from({ length: LINES }, () => {
  const line = connect(Number(port), hostname);
  line.on("data", (chunk: Buffer) => {
    answered += chunk.toString("latin1").split("HTTP/1.1 ").length - 1;
  });
  line.on("error", () => {});
  return line;
});

const second = (): number => Number(process.hrtime.bigint()) / 1e9;
const began = second();

function ask(): void {
  const gone = second() - began;
  const due = Math.min(gone, seconds) * perSecond;
  for (; asked < due; asked += 1) {
    lines[asked % LINES]?.write(`GET ${PATHS[asked % PATHS.length]} HTTP/1.1\r\nHost: ${host}\r\n\r\n`);
  }
  if (gone < seconds) setTimeout(ask, TICK_SECONDS * 1000);
  else settle();
}

/** Until all are answered, or nothing more comes. */
function settle(): void {
  const before = answered;
  setTimeout(() => {
    if (answered >= asked || answered === before) {
      for (const line of lines) line.destroy();
      parentPort?.postMessage({ asked, answered, seconds: second() - began } satisfies CrowdOutcome);
    } else settle();
  }, 500);
}

setTimeout(ask, TICK_SECONDS * 1000);
