// The same seconds in a plain SQLite table, an RRDtool file and a Prometheus server, beside the log: bytes a row and the time of a
// day's chart. The servers come from Debian; what is missing is installed.

import { execFileSync, spawn } from "node:child_process";
import { once } from "node:events";
import { closeSync, openSync, readdirSync, statSync, writeFileSync, writeSync } from "node:fs";
import { join } from "node:path";
import { createInterface } from "node:readline";
import Database from "better-sqlite3";
import { openDatabase } from "../../../daemon/season/connection.ts";
import { fileBytes } from "../../../daemon/season/retention.ts";
import { HOUR_SECONDS } from "../../../daemon/season/segment.ts";
import { seededRandom } from "../../../hardware/simulated/random.ts";
import { freePort } from "../../support/free-port.ts";
import { FOURTEEN, MadeSeason } from "../../support/made-season.ts";
import { percentile, timed } from "./figures.ts";
import { chartTimes, FIRST_HOUR, fileDays } from "./year.ts";

type Row = { readonly store: string; readonly bytes: number; readonly chart: number; readonly note: string };
type Second = { readonly seconds: number; readonly values: readonly number[] };

const FIRST_SECOND = FIRST_HOUR * HOUR_SECONDS;
const DAY = 86_400;
const CHARTED = ["core_celsius", "core_upper_celsius", "outlet_celsius", "inlet_celsius"] as const;
const ASKED = 20;

/** The table, ready to print. */
export async function besideTable(folder: string, days: number): Promise<string> {
  needPrograms();
  const rows = [
    ours(folder, days),
    plain(folder, days),
    await roundRobin(folder, days),
    await prometheus(folder, days),
  ];
  const head = `\nThe same ${days} days of fourteen quantities, a row a second\n  ${"".padEnd(22)}byte/row   chart of a day, p95\n`;
  const lines = rows.map(
    ({ store, bytes, chart, note }) =>
      `  ${store.padEnd(22)}${bytes.toFixed(1).padStart(8)} ${chart.toFixed(1).padStart(10)} ms   ${note}\n`,
  );
  return head + lines.join("");
}

function needPrograms(): void {
  const missing = ["rrdtool", "prometheus", "promtool"].filter((program) => !isThere(program));
  if (missing.length === 0) return;
  execFileSync("apt-get", ["install", "-y", "--no-install-recommends", "rrdtool", "prometheus"], { stdio: "ignore" });
}

function isThere(program: string): boolean {
  try {
    execFileSync("sh", ["-c", `command -v ${program}`], { stdio: "ignore" });
    return true;
  } catch {
    return false;
  }
}

function* secondsOf(days: number): Generator<Second> {
  const season = new MadeSeason(1);
  for (let hour = FIRST_HOUR; hour < FIRST_HOUR + days * 24; hour += 1) {
    const { numbers } = season.hour(hour);
    for (let row = 0; row < HOUR_SECONDS; row += 1) {
      yield { seconds: hour * HOUR_SECONDS + row, values: FOURTEEN.map((name) => numbers[name]![row]!) };
    }
  }
}

/** Starts of days to chart, the same for every store. */
function startsOf(days: number): readonly number[] {
  const random = seededRandom(11);
  return Array.from({ length: ASKED }, () => FIRST_SECOND + Math.floor(random.unit() * (days - 1) * DAY));
}

function ours(folder: string, days: number): Row {
  const { file, rows } = fileDays(folder, days, false);
  const database = openDatabase(file);
  const { used } = fileBytes(database);
  database.close();
  const chart = percentile(chartTimes(file, days, DAY, seededRandom(11)), 0.95);
  return { store: "season log", bytes: used / rows, chart, note: "seconds, minutes, quarter hours, digests" };
}

function plain(folder: string, days: number): Row {
  const file = join(folder, "plain.db");
  const database = new Database(file);
  database.pragma("journal_mode = WAL");
  database.exec(`CREATE TABLE second (at INTEGER PRIMARY KEY, ${FOURTEEN.map((name) => `${name} REAL`).join(", ")})`);
  const insert = database.prepare(`INSERT INTO second VALUES (${Array(15).fill("?").join(", ")})`);
  let count = 0;
  database.transaction(() => {
    for (const { seconds, values } of secondsOf(days)) {
      insert.run(seconds, ...values);
      count += 1;
    }
  })();
  database.pragma("wal_checkpoint(TRUNCATE)");
  const cells = CHARTED.map((name) => `min(${name}), max(${name})`).join(", ");
  const chart = database.prepare(
    `SELECT avg(at), ${cells} FROM second WHERE at BETWEEN ? AND ? GROUP BY (at - ?) * 1000 / ${DAY}`,
  );
  const times = startsOf(days).map((from) => timed(() => chart.all(from, from + DAY - 1, from)).milliseconds);
  database.close();
  return {
    store: "plain SQLite table",
    bytes: statSync(file).size / count,
    chart: percentile(times, 0.95),
    note: "seconds only",
  };
}

async function roundRobin(folder: string, days: number): Promise<Row> {
  const file = join(folder, "season.rrd");
  const count = days * DAY;
  const sources = FOURTEEN.map((name) => `DS:${name.slice(0, 19)}:GAUGE:5:U:U`);
  const archives = [
    `RRA:AVERAGE:0.5:1:${count}`,
    ...["MIN", "AVERAGE", "MAX"].flatMap((kind) => [60, 900].map((step) => `RRA:${kind}:0.5:${step}:${count / step}`)),
  ];
  execFileSync("rrdtool", [
    "create",
    file,
    "--start",
    String(FIRST_SECOND - 1),
    "--step",
    "1",
    ...sources,
    ...archives,
  ]);
  const server = spawn("rrdtool", ["-"], { stdio: ["pipe", "pipe", "inherit"] });
  const lines = createInterface({ input: server.stdout })[Symbol.asyncIterator]();
  const ask = async (command: string): Promise<void> => {
    server.stdin.write(`${command}\n`);
    for (;;) {
      const { value, done } = await lines.next();
      if (done === true) throw new Error("rrdtool ended");
      if (value.startsWith("ERROR")) throw new Error(`rrdtool: ${value}`);
      if (value.startsWith("OK")) return;
    }
  };
  let batch: string[] = [];
  for (const { seconds, values } of secondsOf(days)) {
    batch.push(`${seconds}:${values.map((value) => value.toPrecision(7)).join(":")}`);
    if (batch.length === 600) {
      await ask(`update ${file} ${batch.join(" ")}`);
      batch = [];
    }
  }
  if (batch.length > 0) await ask(`update ${file} ${batch.join(" ")}`);
  const times: number[] = [];
  for (const from of startsOf(days)) {
    const began = performance.now();
    for (const kind of ["MIN", "MAX"]) await ask(`fetch ${file} ${kind} -r 60 -s ${from} -e ${from + DAY}`);
    times.push(performance.now() - began);
  }
  server.stdin.end("quit\n");
  await once(server, "exit");
  const note = "seconds as means, minutes and quarter hours; all series in every answer; fixed size";
  return { store: "RRDtool", bytes: statSync(file).size / count, chart: percentile(times, 0.95), note };
}

async function prometheus(folder: string, days: number): Promise<Row> {
  const source = join(folder, "season.om");
  const target = join(folder, "prometheus");
  writeOpenMetrics(source, days);
  execFileSync("promtool", ["tsdb", "create-blocks-from", "openmetrics", source, target], { stdio: "ignore" });
  const bytes = readdirSync(target, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .reduce((sum, entry) => sum + statSync(join(entry.parentPath, entry.name)).size, 0);
  const config = join(folder, "prometheus.yml");
  writeFileSync(config, "scrape_configs: []\n");
  const port = await freePort();
  const server = spawn(
    "prometheus",
    [
      `--config.file=${config}`,
      `--storage.tsdb.path=${target}`,
      "--storage.tsdb.retention.time=100y",
      `--web.listen-address=127.0.0.1:${port}`,
    ],
    { stdio: ["ignore", "ignore", "pipe"] },
  );
  try {
    await ready(server.stderr);
    const times: number[] = [];
    for (const from of startsOf(days)) {
      const began = performance.now();
      for (const name of CHARTED) {
        for (const kind of ["min_over_time", "max_over_time"]) {
          const query = new URLSearchParams({
            query: `${kind}(${name}[86s])`,
            start: String(from),
            end: String(from + DAY),
            step: "86.4",
          });
          const response = await fetch(`http://127.0.0.1:${port}/api/v1/query_range?${query}`);
          const { data } = (await response.json()) as { data: { result: readonly { values: unknown[] }[] } };
          if ((data.result[0]?.values.length ?? 0) < 900) throw new Error("Prometheus has too few points");
        }
      }
      times.push(performance.now() - began);
    }
    const note = "seconds only, over HTTP, eight queries a chart";
    return { store: "Prometheus", bytes: bytes / (days * DAY), chart: percentile(times, 0.95), note };
  } finally {
    server.kill("SIGTERM");
    await once(server, "exit");
  }
}

/** Waits for the line that says that it serves; ends with it if it never does. */
async function ready(output: NodeJS.ReadableStream): Promise<void> {
  for await (const line of createInterface({ input: output })) {
    if (line.includes("Server is ready")) {
      output.resume();
      return;
    }
  }
  throw new Error("Prometheus did not start");
}

function writeOpenMetrics(file: string, days: number): void {
  const handle = openSync(file, "w");
  for (const [index, name] of FOURTEEN.entries()) {
    writeSync(handle, `# TYPE ${name} gauge\n`);
    let lines: string[] = [];
    for (const { seconds, values } of secondsOf(days)) {
      lines.push(`${name} ${values[index]!.toPrecision(7)} ${seconds}\n`);
      if (lines.length === 10_000) {
        writeSync(handle, lines.join(""));
        lines = [];
      }
    }
    writeSync(handle, lines.join(""));
  }
  writeSync(handle, "# EOF\n");
  closeSync(handle);
}
