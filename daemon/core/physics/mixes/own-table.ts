// Text of an operator's own permeability table (CSV) → a Mix, or everything that is wrong with it.
// It never reads a file and never mends a row.
import type { Mix, PermeabilityPoint } from "./mix.ts";

/** One fault in the text; `line` counts from 1. */
export type TableFault = {
  readonly line: number;
  readonly column: string;
  readonly expected: string;
  readonly got: string;
};

/** A table that can be used, or the list of its faults (never both). */
export type OwnTable =
  | { readonly mix: Mix; readonly faults: null }
  | { readonly mix: null; readonly faults: readonly TableFault[] };

/** Scalars the table cannot hold; all may be left out. */
export type OwnScalars = Partial<
  Pick<
    Mix,
    | "curieCelsius"
    | "densityKilogramsPerCubicMeter"
    | "resistivityOhmMeters"
    | "saturationTeslaAt25Celsius"
    | "saturationTeslaAt100Celsius"
    | "initialPermeability"
    | "temperatureCoefficientPerKelvin"
  >
>;

const COLUMNS = ["frequency_hertz", "mu_real", "mu_imaginary"] as const;
// Bounds that only a slip of unit or of column can cross.
const HIGHEST_HERTZ = 10e9;
const HIGHEST_PERMEABILITY = 100_000;
const MOST_ROWS = 10_000;
const MOST_FAULTS = 20;

/**
 * Reads `frequency_hertz,mu_real,mu_imaginary` (header row, any column order, `#` comment lines, blank lines skipped).
 * Rows must ascend strictly in frequency, μ′ > 0, μ″ ≥ 0, at least two rows. μ″ is the positive number of μ′ − jμ″.
 */
export function parseOwnTable(text: string, name: string, scalars: OwnScalars = {}): OwnTable {
  const faults: TableFault[] = [];
  const points: PermeabilityPoint[] = [];
  let order: number[] | null = null;
  const lines = text.replace(/^\uFEFF/, "").split(/\r\n|\n|\r/);
  for (const [index, raw] of lines.entries()) {
    const row = raw.trim();
    if (row === "" || row.startsWith("#")) continue;
    const line = index + 1;
    const cells = row.split(",").map((cell) => cell.trim().replace(/^"(.*)"$/, "$1"));
    if (order === null) {
      order = COLUMNS.map((column) => cells.indexOf(column));
      if (order.includes(-1) || cells.length !== COLUMNS.length) {
        const expected = `the header ${COLUMNS.join(",")}`;
        return { mix: null, faults: [{ line, column: "header", expected, got: row.slice(0, 80) }] };
      }
      continue;
    }
    if (cells.length !== COLUMNS.length) {
      faults.push({ line, column: "row", expected: `${COLUMNS.length} fields`, got: String(cells.length) });
    } else {
      const point = readRow(order, cells, line, points.at(-1)?.[0] ?? 0, faults);
      if (point !== null) points.push(point);
    }
    if (points.length > MOST_ROWS) {
      faults.push({ line, column: "row", expected: `at most ${MOST_ROWS} rows`, got: "more" });
    }
    if (faults.length >= MOST_FAULTS || points.length > MOST_ROWS) break;
  }
  if (order === null) {
    faults.push({ line: 1, column: "header", expected: `the header ${COLUMNS.join(",")}`, got: "an empty file" });
  } else if (faults.length === 0 && points.length < 2) {
    faults.push({ line: lines.length, column: "row", expected: "at least 2 rows", got: String(points.length) });
  }
  if (faults.length > 0) return { mix: null, faults };
  return { mix: { ...unknownScalars(name), ...scalars, permeabilityPoints: points }, faults: null };
}

function readRow(
  order: readonly number[],
  cells: readonly string[],
  line: number,
  previousHertz: number,
  faults: TableFault[],
): PermeabilityPoint | null {
  const before = faults.length;
  const read = (which: 0 | 1 | 2, expected: string, accept: (value: number) => boolean): number => {
    const cell = cells[order[which]!]!;
    const value = cell === "" ? Number.NaN : Number(cell);
    if (!accept(value)) faults.push({ line, column: COLUMNS[which], expected, got: cell === "" ? "nothing" : cell });
    return value;
  };
  const frequencyHertz = read(
    0,
    previousHertz === 0 ? "a frequency above 0 Hz" : `a frequency above the row before (${previousHertz} Hz)`,
    (value) => value > previousHertz && value <= HIGHEST_HERTZ,
  );
  const real = read(1, "a number above 0", (value) => value > 0 && value <= HIGHEST_PERMEABILITY);
  const imaginary = read(2, "a number, 0 or above", (value) => value >= 0 && value <= HIGHEST_PERMEABILITY);
  return faults.length === before ? [frequencyHertz, real, imaginary] : null;
}

function unknownScalars(name: string): Omit<Mix, "permeabilityPoints"> {
  return {
    name,
    source: "the operator's own table",
    curieCelsius: null,
    densityKilogramsPerCubicMeter: null,
    resistivityOhmMeters: null,
    saturationTeslaAt25Celsius: null,
    saturationTeslaAt100Celsius: null,
    initialPermeability: null,
    temperatureCoefficientPerKelvin: null,
    initialPermeabilityPoints: [],
  };
}
