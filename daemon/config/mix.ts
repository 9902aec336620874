// The mix an operator names: a published one ("43"), or a CSV file of their own table.
// It reads that one file and nothing else; what the rows must look like is physics/mixes/own-table.ts.
import { basename } from "node:path";
import type { Mix } from "../core/physics/mixes/mix.ts";
import { type OwnScalars, parseOwnTable } from "../core/physics/mixes/own-table.ts";
import { PUBLISHED_MIXES, publishedMix } from "../core/physics/mixes/published.ts";
import { RequestError } from "./problem.ts";
import { readTextFile } from "./text-file.ts";

const LARGEST_BYTES = 1_000_000;

/**
 * The mix called `name`, or the table in the file `name` when it ends in `.csv`. `scalars` adds what a table cannot
 * hold (Curie temperature, density). Throws `RequestError` with every fault; `what` and `where` name the key or flag.
 */
export function readMix(name: string, what: string, where: string, scalars: OwnScalars = {}): Mix {
  const published = publishedMix(name);
  if (published !== undefined) return published;
  const expected = `one of ${PUBLISHED_MIXES.map((mix) => mix.name).join(", ")}, or a .csv file of your own`;
  if (!name.toLowerCase().endsWith(".csv")) throw new RequestError([{ what, where, expected, got: `"${name}"` }]);
  const table = parseOwnTable(
    readTextFile(name, { what, where, mostBytes: LARGEST_BYTES }),
    basename(name, ".csv"),
    scalars,
  );
  if (table.faults === null) return table.mix;
  throw new RequestError(
    table.faults.map((fault) => ({
      what: fault.column,
      where: `${name}:${fault.line}`,
      expected: fault.expected,
      got: fault.got,
    })),
  );
}
