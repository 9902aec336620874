// Runs one job in a worker of its own, with a deadline and a bound on memory, so that no thread of the daemon waits for arithmetic.

import { Worker } from "node:worker_threads";
import type { Clock } from "../../hardware/ports.ts";
import type { HeatRunAnswer, HeatRunJob } from "./job.ts";

const DEADLINE_SECONDS = 120;
const HEAP_MEGABYTES = 128;

/** Rejects when the worker fails or is not done in time. `entry` is the compiled worker. */
export function runJob(entry: URL, job: HeatRunJob, clock: Clock): Promise<HeatRunAnswer> {
  return new Promise((resolve, reject) => {
    const worker = new Worker(entry, { workerData: job, resourceLimits: { maxOldGenerationSizeMb: HEAP_MEGABYTES } });
    const cancel = clock.after(DEADLINE_SECONDS, () => {
      void worker.terminate();
      reject(new Error(`the fit was not done within ${DEADLINE_SECONDS} s`));
    });
    worker.once("message", (answer: HeatRunAnswer) => {
      cancel();
      resolve(answer);
    });
    worker.once("error", (error: Error) => {
      cancel();
      reject(error);
    });
  });
}
