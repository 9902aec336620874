// A heat run on the disk: where it stands as JSON, what it wrote down as the CSV that `heat-run fit` reads. A thread that was
// started again goes on with it; after a new start of the daemon nobody knows what happened meanwhile, and it says so.

import { readFileSync } from "node:fs";
import type { HeatRunSample } from "../core/estimate/recording.ts";
import { csvLine } from "../recording/csv.ts";
import { formatDecimal } from "../recording/decimal.ts";
import { readChunks, writeWhole } from "../recording/files.ts";
import { heatRunSample } from "../recording/heat-run-sample.ts";
import { readRecording } from "../recording/recording.ts";
import { type Course, isLive, NO_COURSE } from "./course.ts";
import { type CoreReading, Recording } from "./recording.ts";
import type { KeptRun } from "./session.ts";

export type KeptFiles = {
  /** Tells this start of the daemon from every other. */
  readonly runKey: string;
  readonly recordingFile: string;
  readonly courseFile: string;
};

type KeptCourse = { readonly run: string; readonly course: Course; readonly readings: readonly CoreReading[] };

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

/** A disk that refuses costs the files, not the run. */
export function keepRun({ runKey, recordingFile, courseFile }: KeptFiles, { course, recording }: KeptRun): void {
  const kept: KeptCourse = { run: runKey, course, readings: recording.readings };
  try {
    // An empty recording leaves the last one where it is: it is all that is left of an aborted or accepted run.
    if (recording.samples.length > 0)
      writeWhole(recordingFile, "recording", [csvLine(COLUMNS), ...recording.samples.map(lineOf)]);
    writeWhole(courseFile, "heat run", [`${JSON.stringify(kept)}\n`]);
  } catch {
    // The session holds everything; accepting the model will say what is wrong with the disk.
  }
}

function lineOf(sample: HeatRunSample): string {
  const field = (value: number | null, places: number): string => (value === null ? "" : formatDecimal(value, places));
  return csvLine([
    field(sample.timeSeconds, 3),
    field(sample.inletCelsius, 3),
    field(sample.outletCelsius, 3),
    field(sample.fanRpm, 0),
    field(sample.driveWatts, 1),
    field(sample.frequencyHertz, 0),
    field(sample.wallCelsius, 3),
    field(sample.spotCoreCelsius, 1),
  ]);
}

/** The run that stands on the disk; a text says why it cannot be gone on with; null when there is none. */
export function leftRun(files: KeptFiles): KeptRun | string | null {
  const kept = readCourse(files.courseFile);
  if (kept === null || kept.course.stage === "idle" || kept.course.stage === "accepted") return null;
  if (kept.run !== files.runKey) {
    // Said once: the next start finds no run.
    keepRun(files, { course: NO_COURSE, recording: new Recording() });
    if (!isLive(kept.course.stage) && kept.course.stage !== "fitting") return null;
    return `a new start of the daemon cut off the heat run (${kept.course.stage}); its recording is kept in ${files.recordingFile}`;
  }
  try {
    const recording = new Recording([...samplesIn(files.recordingFile)], kept.readings);
    return { course: kept.course, recording };
  } catch (error) {
    return `the heat run cannot be gone on with: ${error instanceof Error ? error.message : String(error)}`;
  }
}

/** Null where there is none, or none that this program wrote. */
function readCourse(file: string): KeptCourse | null {
  try {
    const kept = JSON.parse(readFileSync(file, "utf8")) as KeptCourse;
    return typeof kept.run === "string" && typeof kept.course?.stage === "string" ? kept : null;
  } catch {
    return null;
  }
}

function* samplesIn(file: string): Generator<HeatRunSample> {
  for (const row of readRecording(readChunks(file, "recording"), file)) {
    yield heatRunSample(row);
  }
}
