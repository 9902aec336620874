// The heat run's place in the service thread: beats in, worker and files out. It joins; the session decides.

import type { Clock } from "../../hardware/ports.ts";
import { modelText } from "../config/model-file.ts";
import type { Model } from "../core/estimate/model.ts";
import type { HeatRunSample } from "../core/estimate/recording.ts";
import type { Reading } from "../core/readings.ts";
import type { Beat } from "../crossing/messages.ts";
import { csvLine } from "../recording/csv.ts";
import { formatDecimal } from "../recording/decimal.ts";
import { keepPrevious, writeWhole } from "../recording/files.ts";
import { runJob } from "./run-job.ts";
import { type HeatRunBeat, HeatRunSession } from "./session.ts";

/** What the service thread is given for heat runs: plain data. */
export type HeatRunSpec = {
  readonly prior: Model;
  readonly inUse: Model;
  /** Where an accepted model goes; the daemon reads it at its next start. */
  readonly modelFile: string;
  readonly recordingFile: string;
};

export type HeatRunDeskOptions = HeatRunSpec & {
  readonly name: string;
  readonly clock: Clock;
  readonly rehearse: (watts: number | null) => void;
};

/** A session that works on files and a worker of its own. */
export function openHeatRuns(options: HeatRunDeskOptions): HeatRunSession {
  return new HeatRunSession({
    prior: options.prior,
    inUse: options.inUse,
    work: (job) => runJob(new URL("./worker.js", import.meta.url), job, options.clock),
    keep: (samples) => keepRecording(options.recordingFile, samples),
    accept: (model) => {
      keepPrevious(options.modelFile);
      writeWhole(options.modelFile, "accepted model", [modelText(model)]);
    },
    rehearse: options.rehearse,
    nameOf: () => options.name,
  });
}

const COLUMNS = [
  "time_seconds",
  "inlet_celsius",
  "outlet_celsius",
  "fan_rpm",
  "drive_watts",
  "frequency_hertz",
  "wall_celsius",
  "spot_core_celsius",
];

/** The recording as `heat-run fit` reads it; a disk that refuses costs the file, not the run. */
function keepRecording(file: string, samples: readonly HeatRunSample[]): void {
  const field = (value: number | null, places: number): string => (value === null ? "" : formatDecimal(value, places));
  try {
    writeWhole(file, "recording", [
      csvLine(COLUMNS),
      ...samples.map((sample) =>
        csvLine([
          field(sample.timeSeconds, 3),
          field(sample.inletCelsius, 3),
          field(sample.outletCelsius, 3),
          field(sample.fanRpm, 0),
          field(sample.driveWatts, 1),
          field(sample.frequencyHertz, 0),
          field(sample.wallCelsius, 3),
          field(sample.spotCoreCelsius, 1),
        ]),
      ),
    ]);
  } catch {
    // The session holds the rows; accepting the model will say what is wrong with the disk.
  }
}

const numberIn = (reading: Reading | null): number | null => reading?.value ?? null;

/** What a heat run takes from a beat. */
export function heatRunBeat({ outlook }: Beat): HeatRunBeat {
  const { readings, atSeconds, stage, reasons } = outlook;
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
  };
}
