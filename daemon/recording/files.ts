// Text files in chunks, in and out. What is written appears under its name only when it is whole, so that a failure
// leaves an older file as it was. It knows no format.

import { closeSync, fsyncSync, openSync, readSync, renameSync, rmSync, writeSync } from "node:fs";
import { StringDecoder } from "node:string_decoder";
import { RequestError } from "../config/problem.ts";

const CHUNK_BYTES = 256 * 1024;
const WRITE_CHARACTERS = 256 * 1024;

const refused = (what: string, expected: string, file: string, error: unknown): RequestError => {
  const code = error instanceof Error && "code" in error ? String(error.code) : String(error);
  return new RequestError([{ what, where: "command line", expected, got: `${file} (${code})` }]);
};

/** The file's text; `-` is standard input. @throws RequestError when it cannot be read */
export function* readChunks(file: string, what: string): Generator<string> {
  let descriptor: number;
  try {
    descriptor = file === "-" ? 0 : openSync(file, "r");
  } catch (error) {
    throw refused(what, "a file that can be read", file, error);
  }
  const decoder = new StringDecoder("utf8");
  const buffer = Buffer.allocUnsafe(CHUNK_BYTES);
  try {
    for (
      let length = readSome(descriptor, buffer, file, what);
      length > 0;
      length = readSome(descriptor, buffer, file, what)
    ) {
      yield decoder.write(buffer.subarray(0, length));
    }
    yield decoder.end();
  } finally {
    if (file !== "-") closeSync(descriptor);
  }
}

function readSome(descriptor: number, buffer: Buffer, file: string, what: string): number {
  try {
    return readSync(descriptor, buffer);
  } catch (error) {
    throw refused(what, "a file that can be read", file, error);
  }
}

/** Writes all lines or nothing. @throws RequestError when it cannot be written; what `lines` throws */
export function writeWhole(file: string, what: string, lines: Iterable<string>): void {
  const beside = `${file}.${process.pid}.part`;
  let descriptor: number;
  try {
    descriptor = openSync(beside, "wx", 0o644);
  } catch (error) {
    throw refused(what, "a file that can be written", file, error);
  }
  try {
    writeLines(lines, (text) => {
      try {
        for (let bytes = Buffer.from(text); bytes.length > 0; ) bytes = bytes.subarray(writeSync(descriptor, bytes));
      } catch (error) {
        throw refused(what, "room to write", file, error);
      }
    });
    fsyncSync(descriptor);
    closeSync(descriptor);
    renameSync(beside, file);
  } catch (error) {
    rmSync(beside, { force: true });
    throw error;
  }
}

/** Hands lines on in large pieces. */
function writeLines(lines: Iterable<string>, write: (text: string) => void): void {
  let text = "";
  for (const line of lines) {
    text += line;
    if (text.length >= WRITE_CHARACTERS) {
      write(text);
      text = "";
    }
  }
  if (text !== "") write(text);
}

/** Work of two kinds in turns of many items, not item by item: each finds the processor as it left it, which is faster. */
export function* inBatches<Item>(items: Iterable<Item>, size = 4_096): Generator<Item> {
  let batch: Item[] = [];
  for (const item of items) {
    batch.push(item);
    if (batch.length < size) continue;
    yield* batch;
    batch = [];
  }
  yield* batch;
}
