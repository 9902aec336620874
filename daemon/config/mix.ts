// The mix an operator names: a published one ("43"), or a CSV file of their own table.
// It reads that one file and nothing else; what the rows must look like is physics/mixes/own-table.ts.
import { readFileSync, statSync } from "node:fs";
import { basename } from "node:path";
import type { Mix } from "../core/physics/mixes/mix.ts";
import { type OwnScalars, parseOwnTable } from "../core/physics/mixes/own-table.ts";
import { PUBLISHED_MIXES, publishedMix } from "../core/physics/mixes/published.ts";
import { RequestError } from "./problem.ts";

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
  const table = parseOwnTable(readSmallFile(name, what, where), basename(name, ".csv"), scalars);
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

function readSmallFile(path: string, what: string, where: string): string {
  try {
    const { size } = statSync(path);
    if (size > LARGEST_BYTES) {
      const expected = `a table of at most ${LARGEST_BYTES} bytes`;
      throw new RequestError([{ what, where, expected, got: `${path} with ${size} bytes` }]);
    }
    return readFileSync(path, "utf8");
  } catch (error) {
    if (error instanceof RequestError) throw error;
    const code = error instanceof Error && "code" in error ? String(error.code) : String(error);
    throw new RequestError([{ what, where, expected: "a file that can be read", got: `${path} (${code})` }]);
  }
}
