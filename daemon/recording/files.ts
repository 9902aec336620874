// Text files in chunks, in and out. What is written appears under its name only when it is whole, so that a failure
// leaves an older file as it was. It knows no format.

import {
  closeSync,
  existsSync,
  fsyncSync,
  openSync,
  readSync,
  realpathSync,
  renameSync,
  rmSync,
  statSync,
  writeSync,
} from "node:fs";
import { StringDecoder } from "node:string_decoder";
import { RequestError } from "../config/problem.ts";
import { fileTrouble } from "../config/text-file.ts";

const CHUNK_BYTES = 256 * 1024;
const WRITE_CHARACTERS = 256 * 1024;

const refused = (what: string, expected: string, file: string, error: unknown): RequestError =>
  new RequestError([{ what, where: "command line", expected, got: fileTrouble(file, error) }]);

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

/** @throws RequestError when both names lead to one file: what was measured must not be written over by what is made of it */
export function refuseSameFile(input: string, output: string, what: string): void {
  const [one, other] = [identityOf(input), identityOf(output)];
  if (one === null || one !== other) return;
  const expected = "another file than the one that is read";
  throw new RequestError([{ what, where: "command line", expected, got: output }]);
}

/** By device and number, so that links and other spellings are seen through; null = there is no such plain file. */
function identityOf(file: string): string | null {
  const status = statSync(file, { throwIfNoEntry: false });
  return status?.isFile() === true ? `${status.dev}:${status.ino}` : null;
}

/**
 * Writes all lines or nothing; through a link to the file behind it, and into a pipe or a device as the lines come.
 * @throws RequestError when it cannot be written; what `lines` throws
 */
export function writeWhole(file: string, what: string, lines: Iterable<string>): void {
  const standing = statSync(file, { throwIfNoEntry: false });
  // A rename would put a plain file in the place of a device; and a folder is found out before the work and not after it.
  const whole = standing === undefined || standing.isFile();
  const into = standing?.isFile() === true ? realpathSync(file) : file;
  const beside = whole ? `${into}.${process.pid}.part` : into;
  let descriptor: number;
  try {
    descriptor = openSync(beside, whole ? "wx" : "w", 0o644);
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
    if (whole) fsyncSync(descriptor);
    if (whole) renameSync(beside, into);
  } catch (error) {
    if (whole) rmSync(beside, { force: true });
    throw error;
  } finally {
    closeSync(descriptor);
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

/** Puts a file that is about to be replaced beside it, as `name.previous`; the one before that is gone. */
export function keepPrevious(file: string): void {
  if (existsSync(file)) renameSync(file, `${file}.previous`);
}
