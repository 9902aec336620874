// A heat run on the disk: what is written is read back as it was, a thread of the same start goes on, another start says that
// the run was cut off and says it once, and a broken file costs the run but nothing else.

import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { entering, NO_COURSE } from "../../daemon/heat-run/course.ts";
import { type KeptFiles, keepRun, leftRun } from "../../daemon/heat-run/kept-run.ts";
import { Recording } from "../../daemon/heat-run/recording.ts";
import type { KeptRun } from "../../daemon/heat-run/session.ts";
import { readRecording } from "../../daemon/recording/recording.ts";

let folder: string;
let files: KeptFiles;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "emberwire-kept-run-"));
  files = { runKey: "one", recordingFile: join(folder, "heat-run.csv"), courseFile: join(folder, "heat-run.json") };
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

function recorded(): Recording {
  const recording = new Recording();
  for (let second = 1; second <= 90; second += 1) {
    recording.add({
      timeSeconds: 1000 + second,
      inletCelsius: 20,
      outletCelsius: second === 7 ? null : 25.125,
      wallCelsius: null,
      spotCoreCelsius: null,
      fanRpm: 11_000,
      driveWatts: second > 30 ? 500 : 0,
      frequencyHertz: 3.65e6,
    });
  }
  expect(recording.read(81.5, 1060)).toBeNull();
  return recording;
}

const going = (): KeptRun => ({
  course: { ...entering({ ...NO_COURSE, plannedWatts: 500, fanOff: true }, "key-down", 1030), halted: "too hot" },
  recording: recorded(),
});

describe("a kept heat run", () => {
  it("is read back as it was by the same start, and its recording by everyone", () => {
    const run = going();
    keepRun(files, run);
    const left = leftRun(files);
    if (left === null || typeof left === "string") throw new Error(`not left: ${left}`);
    expect(left.course).toEqual(run.course);
    expect(left.recording.samples).toEqual(run.recording.samples);
    expect(left.recording.readings).toEqual([{ at_seconds: 1060, celsius: 81.5 }]);
    expect(left.recording.keyedSeconds).toBe(60);
    const rows = [...readRecording([readFileSync(files.recordingFile, "utf8")], "heat-run.csv")];
    expect(rows).toHaveLength(90);
    expect(rows[59]).toMatchObject({ time_seconds: 1060, spot_core_celsius: 81.5, drive_watts: 500 });
  });

  it("was cut off for another start, which is said once; the recording stays", () => {
    keepRun(files, going());
    const other = { ...files, runKey: "two" };
    expect(leftRun(other)).toMatch(/cut off the heat run \(key-down\); its recording is kept in .*heat-run\.csv/);
    expect(leftRun(other)).toBeNull();
    expect(readFileSync(files.recordingFile, "utf8").split("\n")).toHaveLength(92);
  });

  it.each(["result", "refused", "accepted", "idle"] as const)(
    "is nothing to speak of in %s of another start",
    (stage) => {
      keepRun(files, { ...going(), course: entering(going().course, stage, 1090) });
      expect(leftRun({ ...files, runKey: "two" })).toBeNull();
    },
  );

  it("is none where nothing stands, or what no heat run wrote", () => {
    expect(leftRun(files)).toBeNull();
    for (const text of ["", "{", "null", '{"run":1}', '{"run":"one"}']) {
      writeFileSync(files.courseFile, text);
      expect(leftRun(files)).toBeNull();
    }
  });

  it("says why it cannot be gone on with when its recording is broken", () => {
    keepRun(files, going());
    writeFileSync(files.recordingFile, "time_seconds\nx\n");
    expect(leftRun(files)).toMatch(/cannot be gone on with/);
  });
});
