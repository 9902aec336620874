// A table as a Parquet file, some hours a row group, so that a year needs no more memory than a morning. The file appears under its
// name only when it is whole. It knows nothing of the season.

import { closeSync, fsyncSync, openSync, renameSync, rmSync } from "node:fs";
import { fileWriter, ParquetWriter } from "hyparquet-writer";
import { RequestError } from "../config/problem.ts";
import { fileTrouble } from "../config/text-file.ts";
import type { Cell } from "../season/columns.ts";
import type { ExportTable } from "../season/export.ts";
import { COMMAND_LINE } from "./flags.ts";

/** Rows held at once. */
const GROUP_ROWS = 21_600;

type Facts = Readonly<Record<string, string | number | boolean>>;

/** Numbers are doubles and may be missing; units, meanings and `facts` go into the file's own metadata. */
export async function writeParquet(file: string, table: ExportTable, facts: Facts): Promise<void> {
  const beside = `${file}.${process.pid}.part`;
  try {
    await write(beside, table, facts);
    const descriptor = openSync(beside, "r+");
    fsyncSync(descriptor);
    closeSync(descriptor);
    renameSync(beside, file);
  } catch (error) {
    rmSync(beside, { force: true });
    if (!(error instanceof Error && "code" in error)) throw error;
    const got = fileTrouble(file, error);
    throw new RequestError([{ what: "--out", where: COMMAND_LINE, expected: "a file that can be written", got }]);
  }
}

async function write(file: string, { columns, rows }: ExportTable, facts: Facts): Promise<void> {
  const writer = new ParquetWriter({
    writer: fileWriter(file),
    schema: [
      { name: "root", num_children: columns.length },
      ...columns.map(({ name, kind }) =>
        kind === "number"
          ? ({ name, type: "DOUBLE", repetition_type: "OPTIONAL" } as const)
          : ({ name, type: "BYTE_ARRAY", converted_type: "UTF8", repetition_type: "OPTIONAL" } as const),
      ),
    ],
    kvMetadata: [
      { key: "emberwire", value: JSON.stringify(facts) },
      { key: "columns", value: JSON.stringify(columns) },
    ],
    createdBy: "emberwire",
  });
  let held: (readonly Cell[])[] = [];
  const put = async (): Promise<void> => {
    const columnData = columns.map(({ name }, index) => ({ name, data: held.map((row) => row[index] ?? null) }));
    await writer.write({ columnData, rowGroupSize: GROUP_ROWS });
    held = [];
  };
  for (const row of rows) {
    held.push(row);
    if (held.length === GROUP_ROWS) await put();
  }
  if (held.length > 0) await put();
  await writer.finish();
}
