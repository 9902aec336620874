// The heat run's place in the service thread: beats in, worker and files out. It joins; the session decides.

import type { Clock } from "../../hardware/ports.ts";
import { modelText } from "../config/model-file.ts";
import type { Model } from "../core/estimate/model.ts";
import type { Reading } from "../core/readings.ts";
import type { Beat, Rehearsal } from "../crossing/messages.ts";
import { keepPrevious, writeWhole } from "../recording/files.ts";
import type { CourseLimits } from "./course.ts";
import { type KeptFiles, keepRun, leftRun } from "./kept-run.ts";
import { runJob } from "./run-job.ts";
import { type HeatRunBeat, HeatRunSession } from "./session.ts";

/** What the service thread is given for heat runs: plain data. */
export type HeatRunSpec = KeptFiles & {
  readonly prior: Model;
  readonly inUse: Model;
  /** Where an accepted model goes; the daemon reads it at its next start. */
  readonly modelFile: string;
  readonly limits: CourseLimits;
};

export type HeatRunDeskOptions = HeatRunSpec & {
  readonly name: string;
  readonly clock: Clock;
  readonly rehearse: (rehearsal: Rehearsal) => void;
  readonly leaveFan: (seconds: number | null) => void;
  /** A line for the record. */
  readonly note: (text: string) => void;
};

/** A session that works on files and a worker of its own, and goes on with what an earlier thread of this start left. */
export function openHeatRuns(options: HeatRunDeskOptions): HeatRunSession {
  const { prior, inUse, limits, name, rehearse, leaveFan, note } = options;
  const left = leftRun(options);
  if (left !== null)
    note(typeof left === "string" ? left : "the heat run goes on after the service thread was started again");
  return new HeatRunSession({
    prior,
    inUse,
    limits,
    work: (job) => runJob(new URL("./worker.js", import.meta.url), job, options.clock),
    keep: (run) => keepRun(options, run),
    accept: (model) => {
      keepPrevious(options.modelFile);
      writeWhole(options.modelFile, "accepted model", [modelText(model)]);
    },
    rehearse,
    leaveFan,
    name,
    left,
  });
}

const numberIn = (reading: Reading | null): number | null => reading?.value ?? null;

/** What a heat run takes from a beat. */
export function heatRunBeat({ outlook }: Beat): HeatRunBeat {
  const { readings, atSeconds, stage, reasons, estimate } = outlook;
  return {
    timeSeconds: atSeconds,
    inletCelsius: numberIn(readings.inlet),
    outletCelsius: numberIn(readings.outlet),
    wallCelsius: numberIn(readings.wall),
    spotCoreCelsius: null,
    fanRpm: numberIn(readings.fan?.rpm ?? null),
    driveWatts: numberIn(readings.drive?.watts ?? null),
    frequencyHertz: readings.drive?.frequencyHertz ?? null,
    limited: stage === "full" ? null : reasons.join("; ") || stage,
    coreUpperCelsius: Number.isFinite(estimate.coreUpperCelsius) ? estimate.coreUpperCelsius : null,
  };
}
