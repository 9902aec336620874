// Prints what sixty open pages cost one daemon: its processor time, as the kernel counts it, without and with their streams.
// It asserts nothing.

import { once } from "node:events";
import { readFileSync } from "node:fs";
import { WebSocket } from "ws";
import { pause, systemClock } from "../../hardware/clock.ts";
import { printFigure, startDaemon } from "./start-daemon.ts";

const CLIENTS = 60;
const WATCHED_SECONDS = 20;
/** USER_HZ of Linux, fixed for programs at 100 on every architecture Node runs on (proc_pid_stat(5), sysconf(3)). */
const TICKS_PER_SECOND = 100;

const clock = await systemClock();
const daemon = await startDaemon();

/** Fields 14 and 15, utime and stime (proc_pid_stat(5)); the name in field 2 may hold spaces, so counting starts behind it. */
function processorSeconds(): number {
  const line = readFileSync(`/proc/${daemon.child.pid}/stat`, "utf8");
  const fields = line.slice(line.lastIndexOf(")") + 2).split(" ");
  return (Number(fields[11]) + Number(fields[12])) / TICKS_PER_SECOND;
}

async function share(): Promise<number> {
  const [before, began] = [processorSeconds(), clock.monotonicSeconds()];
  await pause(clock, WATCHED_SECONDS);
  return (processorSeconds() - before) / (clock.monotonicSeconds() - began);
}

const percent = (ratio: number): string => `${(100 * ratio).toFixed(1)} %`;

// Start and first compilation are over after this.
await pause(clock, 15);
let messages = 0;
const sockets = await Promise.all(
  Array.from({ length: CLIENTS }, async () => {
    const socket = new WebSocket(`${daemon.address.replace("http", "ws")}api/v1/stream`);
    await once(socket, "message");
    socket.on("message", () => {
      messages += 1;
    });
    return socket;
  }),
);
const received = messages;
const watched = await share();
const perClient = (messages - received) / CLIENTS;
for (const socket of sockets) socket.terminate();
const alone = await share();
printFigure(`daemon with ${CLIENTS} clients`, percent(watched), "10 % of a core");
printFigure("  without any", percent(alone), "-");
printFigure("  messages per client", perClient.toFixed(1), `${WATCHED_SECONDS} or so`);
await daemon.stop();
