// A recording: named columns of numbers over time, checked column by column. An empty field is a missing reading.
// It says what was recorded; what follows from it, the replay finds.

import { nearest } from "../config/nearest.ts";
import { type Problem, RequestError } from "../config/problem.ts";
import { CsvError, type CsvRecord, readCsv } from "./csv.ts";
import { parseDecimal } from "./decimal.ts";

const REQUIRED = ["time_seconds", "inlet_celsius", "outlet_celsius", "fan_rpm"] as const;
const OPTIONAL = [
  "drive_watts",
  "frequency_hertz",
  "wall_celsius",
  "spot_core_celsius",
  "ambient_celsius",
  "humidity_ratio",
] as const;

export type ColumnName = (typeof REQUIRED)[number] | (typeof OPTIONAL)[number];
const COLUMNS: readonly ColumnName[] = [...REQUIRED, ...OPTIONAL];

/** Per column its value: null = missing in this row, undefined = no such column. */
export type RecordedRow = { readonly line: number; readonly time_seconds: number } & {
  readonly [name in Exclude<ColumnName, "time_seconds">]: number | null | undefined;
};

/** What a column may hold; a number outside is a wrong unit or a wrong column, not a measurement. */
const RANGES: { readonly [name in ColumnName]: readonly [low: number, high: number] } = {
  time_seconds: [-1e12, 1e12],
  inlet_celsius: [-80, 400],
  outlet_celsius: [-80, 400],
  fan_rpm: [0, 200_000],
  drive_watts: [0, 100_000],
  frequency_hertz: [0, 1e10],
  wall_celsius: [-80, 400],
  spot_core_celsius: [-80, 600],
  ambient_celsius: [-80, 400],
  humidity_ratio: [0, 1],
};

/** Rows of a recording, in order. @throws RequestError at the first thing that is wrong, with its line and column */
export function* readRecording(chunks: Iterable<string>, file: string): Generator<RecordedRow> {
  const records = inRequest(readCsv(chunks), file);
  const header = records.next();
  if (header.done === true)
    throw wrong("header", `${file}:1`, `a header row with ${REQUIRED.join(", ")}`, "an empty file");
  const columns = columnsOf(header.value, file);
  const place = Object.fromEntries(COLUMNS.map((name) => [name, columns.indexOf(name)])) as Record<ColumnName, number>;
  let before = Number.NEGATIVE_INFINITY;
  for (const { line, fields } of records) {
    if (fields.length !== columns.length) {
      throw wrong("row", `${file}:${line}`, `${columns.length} fields as in the header`, `${fields.length}`);
    }
    const cell = (name: ColumnName): number | null | undefined => {
      const text = fields[place[name]];
      return text === undefined ? undefined : numberIn(name, text, file, line);
    };
    const time = cell("time_seconds");
    if (time == null) throw wrong("time_seconds", `${file}:${line}`, "a time in every row", "nothing");
    if (!(time > before)) throw wrong("time_seconds", `${file}:${line}`, `a time after ${before}`, String(time));
    before = time;
    // One shape for all rows: a million of them are cheap then.
    yield {
      line,
      time_seconds: time,
      inlet_celsius: cell("inlet_celsius"),
      outlet_celsius: cell("outlet_celsius"),
      fan_rpm: cell("fan_rpm"),
      drive_watts: cell("drive_watts"),
      frequency_hertz: cell("frequency_hertz"),
      wall_celsius: cell("wall_celsius"),
      spot_core_celsius: cell("spot_core_celsius"),
      ambient_celsius: cell("ambient_celsius"),
      humidity_ratio: cell("humidity_ratio"),
    };
  }
}

function columnsOf({ line, fields }: CsvRecord, file: string): readonly ColumnName[] {
  const where = `${file}:${line}`;
  const problems: Problem[] = [];
  const isKnown = (name: string): name is ColumnName => (COLUMNS as readonly string[]).includes(name);
  for (const [index, name] of fields.entries()) {
    if (!isKnown(name)) {
      const near = nearest(name, COLUMNS);
      const expected = near === null ? `columns of ${COLUMNS.join(", ")}` : `a known column; the nearest is "${near}"`;
      problems.push({ what: `column ${index + 1}`, where, expected, got: JSON.stringify(name.slice(0, 40)) });
    } else if (fields.indexOf(name) !== index) {
      problems.push({ what: name, where, expected: "each column once", got: "it twice" });
    }
  }
  for (const name of REQUIRED) {
    if (!fields.includes(name)) problems.push({ what: name, where, expected: `a column ${name}`, got: "none" });
  }
  if (problems.length > 0) throw new RequestError(problems);
  return fields.filter(isKnown);
}

function numberIn(name: ColumnName, text: string, file: string, line: number): number | null {
  if (text === "") return null;
  const value = parseDecimal(text);
  const range = RANGES[name];
  if (value >= range[0] && value <= range[1]) return value;
  const [low, high] = range;
  throw wrong(
    name,
    `${file}:${line}`,
    `a number from ${low} to ${high}, or nothing`,
    JSON.stringify(text.slice(0, 40)),
  );
}

function wrong(what: string, where: string, expected: string, got: string): RequestError {
  return new RequestError([{ what, where, expected, got }]);
}

/** Text that is no CSV is a wrong request, with the file's name. */
function* inRequest(records: Iterable<CsvRecord>, file: string): Generator<CsvRecord> {
  try {
    yield* records;
  } catch (error) {
    if (!(error instanceof CsvError)) throw error;
    throw wrong("CSV", `${file}:${error.line}`, error.expected, error.got);
  }
}
