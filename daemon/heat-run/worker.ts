// Entry of the short-lived worker: one job in, one answer out. It holds nothing and ends by itself.

import { parentPort, workerData } from "node:worker_threads";
import { solveLeastSquares } from "../commands/heat-run/solver.ts";
import { answerJob, type HeatRunJob } from "./job.ts";

parentPort?.postMessage(answerJob(workerData as HeatRunJob, solveLeastSquares));
