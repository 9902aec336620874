// Two small CSV files of a forecast: the operating plan and the hourly air. Text → rows, or every fault with its line.
// It knows columns and ranges; what they mean together is the forecast's business.
import { type Problem, RequestError } from "../config/problem.ts";
import { readTextFile } from "../config/text-file.ts";
import { MODES, type Mode, modeNamed } from "../core/physics/modes.ts";
import { CsvError, type CsvRecord, readCsv } from "./csv.ts";

/** One planned hour as written; an hour without a row is silence. */
export type PlanRow = {
  readonly line: number;
  readonly hour: number;
  readonly band: string;
  readonly mode: Mode;
  readonly overShare: number;
  readonly driveWatts: number;
};

/** Air of one hour. */
export type AirRow = {
  readonly line: number;
  readonly hour: number;
  readonly airCelsius: number;
  readonly sunWatts: number;
};

const LARGEST_BYTES = 1_000_000;
const MOST_HOURS = 24 * 14;
const PLAN_COLUMNS = ["hour", "band", "mode", "duty", "drive_watts"] as const;
const AIR_COLUMNS = ["hour", "air_celsius"] as const;
const AIR_OPTIONAL = ["sun_watts"] as const;

type Read = (column: string, expected: string, low: number, high: number, whole?: boolean) => number;

/** Rows of `hour,band,mode,duty,drive_watts`; hours ascend, at most one row each. @throws RequestError with every fault */
export function readPlan(file: string, what: string): PlanRow[] {
  return readTable(file, what, PLAN_COLUMNS, [], (line, fields, read, fault) => {
    const mode = modeNamed(fields.get("mode") ?? "");
    if (mode === undefined)
      fault("mode", `one of ${MODES.map(({ name }) => name).join(", ")}`, fields.get("mode") ?? "");
    return {
      line,
      hour: read("hour", "a whole hour", 0, MOST_HOURS - 1, true),
      band: fields.get("band") ?? "",
      mode: mode ?? MODES[0]!,
      overShare: read("duty", "a share of the hour spent in overs", 0, 1),
      driveWatts: read("drive_watts", "watts", 0, 100_000),
    };
  });
}

/** Rows of `hour,air_celsius` and optionally `sun_watts`; hours ascend. @throws RequestError with every fault */
export function readAirTable(file: string, what: string): AirRow[] {
  return readTable(file, what, AIR_COLUMNS, AIR_OPTIONAL, (line, fields, read) => ({
    line,
    hour: read("hour", "a whole hour", 0, MOST_HOURS - 1, true),
    airCelsius: read("air_celsius", "degrees Celsius", -60, 60),
    sunWatts: fields.has("sun_watts") ? read("sun_watts", "watts", 0, 200) : 0,
  }));
}

function readTable<Row extends { readonly hour: number }>(
  file: string,
  what: string,
  required: readonly string[],
  optional: readonly string[],
  rowOf: (
    line: number,
    fields: ReadonlyMap<string, string>,
    read: Read,
    fault: (column: string, expected: string, got: string) => void,
  ) => Row,
): Row[] {
  const problems: Problem[] = [];
  const rows: Row[] = [];
  let columns: readonly string[] | null = null;
  for (const { line, fields } of recordsOf(file, what)) {
    const where = `${file}:${line}`;
    if (columns === null) {
      const missing = required.filter((name) => !fields.includes(name));
      const unknown = fields.filter((name) => !required.includes(name) && !optional.includes(name));
      if (missing.length + unknown.length > 0) {
        const expected = `the columns ${[...required, ...optional.map((name) => `${name} (optional)`)].join(",")}`;
        throw new RequestError([{ what: "header", where, expected, got: fields.join(",").slice(0, 80) }]);
      }
      columns = fields;
      continue;
    }
    const fault = (column: string, expected: string, got: string): void => {
      problems.push({ what: column, where, expected, got: got === "" ? "nothing" : `"${got.slice(0, 40)}"` });
    };
    if (fields.length !== columns.length) {
      fault("row", `${columns.length} fields as in the header`, String(fields.length));
      continue;
    }
    const named = new Map(columns.map((name, index) => [name, fields[index]!.trim()]));
    const read: Read = (column, expected, low, high, whole = false) => {
      const text = named.get(column) ?? "";
      const value = text === "" ? Number.NaN : Number(text);
      const fits = value >= low && value <= high && (!whole || Number.isInteger(value));
      if (!fits) fault(column, `${expected} from ${low} to ${high}`, text);
      return value;
    };
    const row = rowOf(line, named, read, fault);
    const previous = rows.at(-1)?.hour ?? -1;
    if (row.hour <= previous) fault("hour", `an hour after the row before (${previous})`, String(row.hour));
    rows.push(row);
    if (problems.length >= 20) break;
  }
  if (problems.length > 0) throw new RequestError(problems);
  if (rows.length === 0) {
    throw new RequestError([
      { what: "row", where: `${file}:1`, expected: "a header and at least one row", got: "none" },
    ]);
  }
  return rows;
}

function* recordsOf(file: string, what: string): Generator<CsvRecord> {
  try {
    for (const record of readCsv([readTextFile(file, { what, where: "command line", mostBytes: LARGEST_BYTES })])) {
      if (record.fields.length === 1 && record.fields[0]!.trim() === "") continue;
      yield record;
    }
  } catch (error) {
    if (!(error instanceof CsvError)) throw error;
    throw new RequestError([{ what: "row", where: `${file}:${error.line}`, expected: error.expected, got: error.got }]);
  }
}
