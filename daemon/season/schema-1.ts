// Brings a file of the first schema, a plain row per second in four tables, forward to packed stretches. It runs inside the
// caller's transaction and leaves hours for the next packing.

import { deflateRawSync } from "node:zlib";
import type { Database } from "better-sqlite3";
import { type ColumnSpec, packBlock } from "./block.ts";
import type { Cell } from "./columns.ts";
import { type FiledRow, segmentsOf } from "./segment.ts";

/** The columns of the first schema with the steps they are kept to from now on; they never change. */
const LAYOUT_OF_1: readonly ColumnSpec[] = [
  ...["inlet_celsius", "outlet_celsius", "wall_celsius", "ambient_celsius", "probe_celsius"].map((name) => ({
    name,
    step: 1 / 128,
  })),
  { name: "humidity_ratio", step: 0.001 },
  { name: "fan_rpm", step: 1 },
  { name: "fan_regularity", step: 0.01 },
  { name: "fan_volts", step: 0.004 },
  { name: "fan_amperes", step: 0.0005 },
  { name: "drive_watts", step: 0.5 },
  { name: "frequency_hertz", step: 1 },
  { name: "mode", step: null },
  { name: "transmitting", step: 1 },
  { name: "relay_readback", step: 1 },
  { name: "codes", step: null },
  { name: "core_celsius", step: 0.01 },
  { name: "core_uncertainty_kelvin", step: 0.01 },
  { name: "core_upper_celsius", step: 0.01 },
  { name: "loss_watts", step: 0.05 },
  { name: "airflow_cubic_meters_per_second", step: 1e-6 },
  { name: "flow_factor", step: 0.001 },
  { name: "headroom_seconds", step: 1 },
  { name: "sustainable_watts", step: 1 },
  { name: "disagreement_kelvin", step: 0.01 },
  { name: "fan", step: null },
  { name: "degraded", step: null },
  { name: "power_stage", step: 1 },
  { name: "relay_permit", step: 1 },
  { name: "cycle_duration_seconds", step: 0.0005 },
  { name: "cycle_late_seconds", step: 0.0005 },
];

/** Rows held at once; the file may hold a season. */
const CHUNK = 3_600;

/** `create` makes the tables of the schema that follows. */
export function bringForwardFrom1(database: Database, create: string): void {
  const old = ["run", "entry", "checkpoint"];
  database.exec("DROP INDEX instant_wall; DROP INDEX entry_wall");
  for (const table of old) database.exec(`ALTER TABLE ${table} RENAME TO old_${table}`);
  database.exec(create);
  database.exec(`
    INSERT INTO run (id, key, boot_id, version, simulated, source)
      SELECT id, key, boot_id, version, simulated, 'live' FROM old_run;
    INSERT INTO entry SELECT * FROM old_entry;`);
  for (const { text } of database.prepare<[], { text: string }>("SELECT text FROM old_checkpoint").all()) {
    database.prepare("INSERT INTO checkpoint (id, body) VALUES (1, ?)").run(deflateRawSync(text));
  }
  const text = JSON.stringify(LAYOUT_OF_1);
  const layout = database.prepare("INSERT INTO layout (columns) VALUES (?)").run(text).lastInsertRowid;
  for (const { id } of database.prepare<[], { id: number }>("SELECT id FROM run ORDER BY id").all()) {
    bringRows(database, id, Number(layout));
  }
  database.exec("DROP TABLE measured; DROP TABLE believed; DROP TABLE done; DROP TABLE instant");
  for (const table of old.reverse()) database.exec(`DROP TABLE old_${table}`);
}

function bringRows(database: Database, run: number, layout: number): void {
  const names = LAYOUT_OF_1.map(({ name }) => name).join(", ");
  const read = database.prepare<[number, number], Record<string, number | string | null>>(
    `SELECT number, monotonic_seconds, wall_seconds, wall_trusted, ${names}
     FROM instant JOIN measured USING (id) JOIN believed USING (id) JOIN done USING (id)
     WHERE run = ? AND number > ? ORDER BY number LIMIT ${CHUNK}`,
  );
  const write = database.prepare(
    `INSERT INTO recent (run, layout, first_number, last_number, rows, first_monotonic_seconds, offset_seconds, trusted, body)
     VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`,
  );
  let last = 0;
  for (;;) {
    const rows = read.all(run, last).map(filed);
    if (rows.length === 0) return;
    last = rows.at(-1)!.number;
    for (const { place, columns } of segmentsOf(LAYOUT_OF_1, rows)) {
      const { firstNumber, lastNumber, rows: count, firstMonotonicSeconds, offsetSeconds, trusted } = place;
      const body = packBlock(LAYOUT_OF_1, columns);
      write.run(
        ...[run, layout, firstNumber, lastNumber, count],
        ...[firstMonotonicSeconds, offsetSeconds, Number(trusted), body],
      );
    }
  }
}

function filed(row: Readonly<Record<string, number | string | null>>): FiledRow {
  return {
    number: Number(row["number"]),
    monotonicSeconds: Number(row["monotonic_seconds"]),
    wallSeconds: Number(row["wall_seconds"]),
    wallTrusted: row["wall_trusted"] === 1,
    cells: LAYOUT_OF_1.map(({ name }): Cell => row[name] ?? null),
  };
}
