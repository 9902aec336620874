// The log's tables. What was measured, what was believed and what was done stand in tables of their own, one row a cycle,
// under one row of times. It says what the file looks like; it never opens one.

import type { Database } from "better-sqlite3";

/** Rises with every change below; an older file is brought forward, a newer one is refused. */
export const SCHEMA_VERSION = 1;

const CREATE = `
CREATE TABLE run (
  id INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE,       -- one start of the daemon
  boot_id TEXT NOT NULL,
  version TEXT NOT NULL,
  simulated INTEGER NOT NULL
) STRICT;
CREATE TABLE instant (
  id INTEGER PRIMARY KEY,
  run INTEGER NOT NULL REFERENCES run (id),
  number INTEGER NOT NULL,        -- of the cycle within its run
  monotonic_seconds REAL NOT NULL,
  wall_seconds REAL NOT NULL,
  wall_trusted INTEGER NOT NULL,
  UNIQUE (run, number)
) STRICT;
CREATE INDEX instant_wall ON instant (wall_seconds);
CREATE TABLE measured (
  id INTEGER PRIMARY KEY REFERENCES instant (id) ON DELETE CASCADE,
  inlet_celsius REAL, outlet_celsius REAL, wall_celsius REAL, ambient_celsius REAL, probe_celsius REAL,
  humidity_ratio REAL, fan_rpm REAL, fan_regularity REAL, fan_volts REAL, fan_amperes REAL,
  drive_watts REAL, frequency_hertz REAL, mode TEXT, transmitting INTEGER,
  relay_readback INTEGER,         -- bit 0 reduce, bit 1 inhibit, energised = 1; null = not read
  codes TEXT                      -- JSON of reading: code for all that were not good
) STRICT;
CREATE TABLE believed (
  id INTEGER PRIMARY KEY REFERENCES instant (id) ON DELETE CASCADE,
  core_celsius REAL, core_uncertainty_kelvin REAL, core_upper_celsius REAL, loss_watts REAL,
  airflow_cubic_meters_per_second REAL, flow_factor REAL, headroom_seconds REAL, sustainable_watts REAL,
  disagreement_kelvin REAL, fan TEXT, degraded TEXT
) STRICT;
CREATE TABLE done (
  id INTEGER PRIMARY KEY REFERENCES instant (id) ON DELETE CASCADE,
  power_stage INTEGER NOT NULL,   -- 0 full, 1 reduced, 2 inhibited
  relay_permit INTEGER NOT NULL,  -- bits as in relay_readback
  cycle_duration_seconds REAL NOT NULL,
  cycle_late_seconds REAL NOT NULL
) STRICT;
CREATE TABLE entry (
  id INTEGER PRIMARY KEY,
  run INTEGER NOT NULL REFERENCES run (id),
  number INTEGER NOT NULL,
  at_seconds REAL NOT NULL,
  wall_seconds REAL NOT NULL,
  wall_trusted INTEGER NOT NULL,
  kind TEXT NOT NULL, tag TEXT NOT NULL, text TEXT NOT NULL, by TEXT,
  UNIQUE (run, number)
) STRICT;
CREATE INDEX entry_wall ON entry (wall_seconds);
CREATE TABLE checkpoint (
  id INTEGER PRIMARY KEY CHECK (id = 1),
  text TEXT NOT NULL
) STRICT;
`;

/**
 * Makes the tables in an empty file, or checks that this program knows them.
 * @throws Error when the file was written by a newer program
 */
export function prepareSchema(database: Database): void {
  const version = database.pragma("user_version", { simple: true }) as number;
  if (version === SCHEMA_VERSION) return;
  if (version > SCHEMA_VERSION) {
    throw new Error(`${database.name} was written by a newer program (schema ${version}, known ${SCHEMA_VERSION})`);
  }
  database.transaction(() => {
    database.exec(CREATE);
    database.pragma(`user_version = ${SCHEMA_VERSION}`);
  })();
}
