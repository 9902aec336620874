// Prints how many recorded seconds a second `replay` runs through step(), files and all: an evening over and over, played on
// the truth plant as sensors would have recorded it. It asserts nothing.

import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { systemClock } from "../../hardware/clock.ts";
import { nominalPlant } from "../../hardware/simulated/plant.ts";
import { seededRandom } from "../../hardware/simulated/random.ts";
import { tableFractions } from "./estimator-box.ts";
import { CASES } from "./estimator-cases.ts";
import { play } from "./estimator-run.ts";
import { printFigure } from "./start-daemon.ts";

const ROWS = 500_000;
const AIR_CELSIUS = 20;
const RUNS = 3;

const evening = CASES.find(({ name }) => name.includes("evening")) ?? CASES[0];
if (evening === undefined) throw new Error("there is no case to play");
const played = play(nominalPlant(), evening, tableFractions(), AIR_CELSIUS, seededRandom(1));
const lines = ["time_seconds,inlet_celsius,outlet_celsius,fan_rpm,drive_watts,frequency_hertz"];
for (let row = 0; row < ROWS; row += 1) {
  const second = row % played.seconds;
  lines.push(
    [
      row,
      played.inlet[second]!.toFixed(4),
      played.outlet[second]!.toFixed(4),
      played.rpm[second]!.toFixed(0),
      played.driveWatts[second]!.toFixed(1),
      played.frequencyHertz[second],
    ].join(","),
  );
}
const folder = mkdtempSync(join(tmpdir(), "emberwire-bench-"));
const [recording, out] = [join(folder, "in.csv"), join(folder, "out.csv")];
writeFileSync(recording, `${lines.join("\r\n")}\r\n`);
const clock = await systemClock();
const rates = Array.from({ length: RUNS }, () => {
  const from = clock.monotonicSeconds();
  execFileSync(process.execPath, [resolve("dist/daemon/main.js"), "replay", recording, "--out", out]);
  return ROWS / (clock.monotonicSeconds() - from);
});
const best = Math.max(...rates);
printFigure(`replay of ${ROWS} s "${evening.name}", best of ${RUNS}`, `${best.toFixed(0)} s/s`, "50000 s/s");
printFigure("  answer", `${(statSync(out).size / 1e6).toFixed(0)} MB`, "-");
rmSync(folder, { recursive: true, force: true });
