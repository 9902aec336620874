// Somebody who asks an address again and again until the answer is 200, in a thread of their own: asking must not be counted as the
// work of the thread under test. How long to wait is the asker's business; the thread ends with it.

import { setTimeout as pause } from "node:timers/promises";
import { parentPort } from "node:worker_threads";

const AGAIN_MILLISECONDS = 100;
const LONGEST_MILLISECONDS = 20_000;

async function isWell(address: string): Promise<boolean> {
  try {
    const response = await fetch(address, { signal: AbortSignal.timeout(LONGEST_MILLISECONDS) });
    await response.arrayBuffer();
    return response.status === 200;
  } catch {
    // Nobody is there yet, or no longer.
    return false;
  }
}

parentPort?.on("message", async (address: string) => {
  while (!(await isWell(address))) await pause(AGAIN_MILLISECONDS);
  parentPort?.postMessage(address);
});
