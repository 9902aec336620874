// Prints how long a start takes, from the shell's word to the first frame that a page receives. It asserts nothing.

import { once } from "node:events";
import { WebSocket } from "ws";
import { systemClock } from "../../hardware/clock.ts";
import { median, printFigure, startDaemon } from "./start-daemon.ts";

const STARTS = 7;

const clock = await systemClock();
const seconds: number[] = [];
for (let start = 0; start < STARTS; start += 1) {
  const from = clock.monotonicSeconds();
  const daemon = await startDaemon();
  const socket = new WebSocket(`${daemon.address.replace("http", "ws")}api/v1/stream`);
  await once(socket, "message");
  seconds.push(clock.monotonicSeconds() - from);
  socket.terminate();
  await daemon.stop();
}
printFigure(`start to first frame, median of ${STARTS}`, `${median(seconds).toFixed(2)} s`, "0.8 s");
