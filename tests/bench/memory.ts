// Prints the memory the daemon holds with ten page clients, each of which got the page, half an hour of history and a stream.
// VmRSS of the kernel, and the part of it that no other process shares. It asserts nothing.

import { once } from "node:events";
import { readFileSync } from "node:fs";
import { WebSocket } from "ws";
import { pause, systemClock } from "../../hardware/clock.ts";
import { printFigure, startDaemon } from "./start-daemon.ts";

const CLIENTS = 10;
const WATCHED_SECONDS = 30;

const clock = await systemClock();
const daemon = await startDaemon();
const pages = await Promise.all(
  Array.from({ length: CLIENTS }, async () => {
    const html = await (await fetch(daemon.address)).text();
    for (const [, asset] of html.matchAll(/(?:src|href)="\.?\/?(assets\/[^"]+)"/g)) {
      await (await fetch(`${daemon.address}${asset}`)).arrayBuffer();
    }
    await (await fetch(`${daemon.address}api/v1/history`)).arrayBuffer();
    const socket = new WebSocket(`${daemon.address.replace("http", "ws")}api/v1/stream`);
    await once(socket, "message");
    return socket;
  }),
);

/** Kilobytes of one line of /proc/…/status. */
function status(name: string): number {
  const text = readFileSync(`/proc/${daemon.child.pid}/status`, "utf8");
  return Number(new RegExp(`^${name}:\\s+(\\d+) kB`, "m").exec(text)?.[1] ?? Number.NaN);
}

const megabytes = (kilobytes: number): string => `${((kilobytes * 1024) / 1e6).toFixed(0)} MB`;

await pause(clock, WATCHED_SECONDS);
printFigure(`resident with ${CLIENTS} pages after ${WATCHED_SECONDS} s`, megabytes(status("VmRSS")), "110 MB");
printFigure("  of it not backed by a file", megabytes(status("RssAnon")), "-");
printFigure("  highest so far", megabytes(status("VmHWM")), "-");
for (const socket of pages) socket.terminate();
await daemon.stop();
