// The current state as one flat row, for scripts: the vocabulary's identifiers as columns, always the same ones in the same order.
// It picks and writes; what a number is worth stands in the full state.

import { type About, type Frame, QUANTITY_NAMES } from "../wire/frame.ts";

/** What a column holds; null where there is nothing. */
export type Cell = number | string | boolean | null;

/** What a row is made of; the age is that of the frame's cycle. */
export type RowSource = { readonly about: About; readonly frame: Frame; readonly ageSeconds: number };

const quantity =
  (name: (typeof QUANTITY_NAMES)[number]) =>
  ({ frame }: RowSource): Cell =>
    frame.quantities[name]?.value ?? null;

const COLUMNS: Readonly<Record<string, (source: RowSource) => Cell>> = {
  feedpoint: ({ about }) => about.name,
  simulated: ({ about }) => about.simulated,
  wall_seconds: ({ frame }) => frame.wall_seconds,
  wall_trusted: ({ frame }) => frame.wall_trusted,
  age_seconds: ({ ageSeconds }) => Math.round(ageSeconds * 1000) / 1000,
  ...Object.fromEntries(QUANTITY_NAMES.map((name) => [name, quantity(name)])),
  limit_celsius: ({ about }) => about.limit_celsius,
  power_stage: ({ frame }) => frame.power_stage,
  relay_permit_reduce: ({ frame }) => frame.relay_permit.reduce,
  relay_permit_inhibit: ({ frame }) => frame.relay_permit.inhibit,
  relay_readback_reduce: ({ frame }) => frame.relay_readback?.reduce ?? null,
  relay_readback_inhibit: ({ frame }) => frame.relay_readback?.inhibit ?? null,
  band: ({ frame }) => frame.band,
  mode: ({ frame }) => frame.mode,
  transmitting: ({ frame }) => frame.transmitting,
  fan: ({ frame }) => frame.fan,
  alarms: ({ frame }) => frame.alarms.map(({ tag }) => tag).join(" "),
};

export const ROW_COLUMNS: readonly string[] = Object.keys(COLUMNS);

/** The columns in `fields`, separated by commas (all when it is undefined), or what is wrong with it. */
export function parseFields(fields: unknown): { readonly columns: readonly string[] } | { readonly bad: string } {
  if (fields === undefined) return { columns: ROW_COLUMNS };
  const names = typeof fields === "string" ? [...new Set(fields.split(","))] : [];
  const stranger = names.find((name) => !Object.hasOwn(COLUMNS, name));
  if (names.length > 0 && stranger === undefined) return { columns: names };
  const got = JSON.stringify(stranger ?? fields).slice(0, 80);
  return { bad: `fields: expected names of ${ROW_COLUMNS.join(", ")}, got ${got}` };
}

/** The row with the columns asked for, in the order asked for. */
export function rowOf(source: RowSource, columns: readonly string[]): { readonly [column: string]: Cell } {
  return Object.fromEntries(columns.map((column) => [column, COLUMNS[column]?.(source) ?? null]));
}

/** A header record and one record, as RFC 4180 has it; nothing is an empty field. */
export function csvOf(row: { readonly [column: string]: Cell }): string {
  const record = (cells: readonly Cell[]): string => `${cells.map(field).join(",")}\r\n`;
  return record(Object.keys(row)) + record(Object.values(row));
}

function field(cell: Cell): string {
  const text = cell === null ? "" : String(cell);
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
