// Rows packed column by column: quantised, differenced, zigzag variable-length, deflated where that helps, with a checksum.
// Each column opens by itself. Pure in and out (zlib apart); it knows no database and no clock.

import { constants, crc32, deflateRawSync, inflateRawSync } from "node:zlib";
import { readCodes, VarintWriter, writeCodes } from "./varint.ts";

/** How one column is stored: numbers in whole multiples of `step`, which bounds the error to half of it; null = text. */
export type ColumnSpec = { readonly name: string; readonly step: number | null };

export type Text = string | null;

/** Rows column-wise; NaN or null = no value. All columns are as long as `seconds`, which never falls. */
export type Columns = {
  /** Whole seconds from the block's start. */
  readonly seconds: ArrayLike<number>;
  readonly numbers: { readonly [name: string]: ArrayLike<number> };
  readonly texts: { readonly [name: string]: readonly Text[] };
};

/** First byte of every block; a reader that meets another version must not guess. */
const BLOCK_VERSION = 2;
/** The same of a few rows, deflated as a whole: their columns are too short to be worth it one by one. */
const SMALL_VERSION = 3;
const SMALL_ROWS = 60;
/** Largest quantised magnitude: differences stay exact integers in a double. */
const LARGEST_STEPS = 2 ** 50;
/** Shorter columns are not worth the overhead of deflate. */
const DEFLATE_FROM_BYTES = 24;
const CHECK_BYTES = 4;

/** First byte of a column: what follows. */
const RAW = 0;
const DEFLATED = 1;
/** One code that holds for all rows. */
const CONSTANT = 2;

/** A block as bytes. @throws RangeError when a value cannot be held exactly or the columns differ in length */
export function packBlock(specs: readonly ColumnSpec[], columns: Columns): Buffer {
  const count = columns.seconds.length;
  const parts = [packSeconds(columns.seconds)];
  for (const { name, step } of specs) {
    const values = step === null ? columns.texts[name] : columns.numbers[name];
    if (values === undefined || values.length !== count) {
      throw new RangeError(`${name}: expected ${count} values, got ${values?.length ?? "none"}`);
    }
    parts.push(
      step === null
        ? packTexts(values as readonly Text[])
        : squeeze(numberCodes(name, step, values as ArrayLike<number>)),
    );
  }
  const head = new VarintWriter();
  head.write(count);
  for (const part of parts) head.write(part.length);
  const body = Buffer.concat([Buffer.of(BLOCK_VERSION), head.bytes(), ...parts]);
  const check = Buffer.alloc(CHECK_BYTES);
  check.writeUInt32LE(crc32(body));
  const block = Buffer.concat([body, check]);
  return count > SMALL_ROWS ? block : Buffer.concat([Buffer.of(SMALL_VERSION), deflateRawSync(block)]);
}

/** A block opened for reading; a column is unpacked when it is asked for. */
export class OpenBlock {
  readonly count: number;
  readonly #specs: readonly ColumnSpec[];
  readonly #block: Uint8Array;
  /** Where the seconds and then each column begin, and where the last ends. */
  readonly #edges: Float64Array;

  /** @throws RangeError on a block that is damaged, of another version, or of other columns */
  constructor(specs: readonly ColumnSpec[], bytes: Uint8Array) {
    const block = bytes[0] === SMALL_VERSION ? inflated(bytes.subarray(1)) : bytes;
    if (block[0] !== BLOCK_VERSION)
      throw new RangeError(`block version: expected ${BLOCK_VERSION}, got ${block[0] ?? "nothing"}`);
    const end = block.length - CHECK_BYTES;
    const check = end > 0 ? new DataView(block.buffer, block.byteOffset + end, CHECK_BYTES).getUint32(0, true) : -1;
    if (end <= 0 || crc32(block.subarray(0, end)) !== check)
      throw new RangeError("the block's checksum is not that of its bytes");
    const head = new Float64Array(specs.length + 2);
    let at = 1 + readCodes(block.subarray(1, end), head);
    const edges = new Float64Array(head.length);
    for (let index = 0; index < edges.length; index += 1) {
      edges[index] = at;
      at += head[index + 1] ?? 0;
    }
    if (edges.at(-1) !== end) throw new RangeError("the block is longer or shorter than its columns");
    this.count = head[0]!;
    this.#specs = specs;
    this.#block = block;
    this.#edges = edges;
  }

  /** Whole seconds from the block's start. */
  seconds(): Int32Array {
    const codes = unsqueeze(this.#part(0), this.count);
    const seconds = new Int32Array(this.count);
    let second = 0;
    for (let row = 0; row < this.count; row += 1) {
      second += codes[row]!;
      seconds[row] = second;
    }
    return seconds;
  }

  /** Values to half a step, NaN where there is none; null when the block has no such column of numbers. */
  numbers(name: string): Float64Array | null {
    const column = this.#specs.findIndex((spec) => spec.name === name);
    const step = this.#specs[column]?.step ?? null;
    if (step === null) return null;
    const values = unsqueeze(this.#part(column + 1), this.count);
    let steps = 0;
    for (let row = 0; row < values.length; row += 1) {
      const code = values[row]!;
      if (code === 0) values[row] = Number.NaN;
      else {
        const zigzag = code - 1;
        steps += zigzag % 2 === 0 ? zigzag / 2 : -(zigzag + 1) / 2;
        values[row] = steps * step;
      }
    }
    return values;
  }

  /** Null when the block has no such column of texts. */
  texts(name: string): Text[] | null {
    const column = this.#specs.findIndex((spec) => spec.name === name);
    if (this.#specs[column]?.step !== null) return null;
    const part = this.#part(column + 1);
    const size = new Float64Array(1);
    const from = readCodes(part, size);
    const words = JSON.parse(Buffer.from(part.subarray(from, from + size[0]!)).toString("utf8")) as Text[];
    return Array.from(unsqueeze(part.subarray(from + size[0]!), this.count), (code) => words[code] ?? null);
  }

  #part(index: number): Uint8Array {
    return this.#block.subarray(this.#edges[index]!, this.#edges[index + 1]!);
  }
}

/** Damage is a RangeError whichever way it shows. */
function inflated(bytes: Uint8Array): Uint8Array {
  try {
    return inflateRawSync(bytes);
  } catch (error) {
    throw new RangeError(`the block does not inflate: ${error instanceof Error ? error.message : String(error)}`);
  }
}

function packSeconds(seconds: ArrayLike<number>): Buffer {
  const codes = new Float64Array(seconds.length);
  let before = 0;
  for (let row = 0; row < seconds.length; row += 1) {
    const second = seconds[row]!;
    if (!Number.isInteger(second) || second < before)
      throw new RangeError(`row ${row}: second ${second} after ${before}`);
    codes[row] = second - before;
    before = second;
  }
  return squeeze(codes);
}

/** Differences, zigzagged and moved up by one: 0 stands for "no value". */
function numberCodes(name: string, step: number, values: ArrayLike<number>): Float64Array {
  const codes = new Float64Array(values.length);
  let before = 0;
  for (let row = 0; row < values.length; row += 1) {
    const value = values[row]!;
    if (Number.isNaN(value)) continue;
    const steps = Math.round(value / step);
    if (!(Math.abs(steps) <= LARGEST_STEPS)) throw new RangeError(`${name}: ${value} is too large to store`);
    const difference = steps - before;
    codes[row] = (difference >= 0 ? 2 * difference : -2 * difference - 1) + 1;
    before = steps;
  }
  return codes;
}

/** The words used, then per row which; the last word is "none". */
function packTexts(texts: readonly Text[]): Buffer {
  const words = [...new Set(texts)];
  const places = new Map(words.map((word, place) => [word, place]));
  const dictionary = Buffer.from(JSON.stringify(words), "utf8");
  const size = new VarintWriter();
  size.write(dictionary.length);
  return Buffer.concat([size.bytes(), dictionary, squeeze(Float64Array.from(texts, (text) => places.get(text)!))]);
}

function squeeze(codes: Float64Array): Buffer {
  const first = codes[0] ?? 0;
  // The first difference is the value itself, so a column that stands still is "a value, then all ones".
  const rest = codes[1] ?? first;
  if (codes.every((code, row) => code === (row === 0 ? first : rest))) {
    const writer = new VarintWriter();
    writer.write(first);
    writer.write(rest);
    return Buffer.concat([Buffer.of(CONSTANT), writer.bytes()]);
  }
  const raw = writeCodes(codes);
  let best: Uint8Array = raw;
  if (raw.length >= DEFLATE_FROM_BYTES) {
    // Noise packs best by entropy alone, runs by matching; what it is shows by trying.
    for (const strategy of [constants.Z_DEFAULT_STRATEGY, constants.Z_HUFFMAN_ONLY]) {
      const tried = deflateRawSync(raw, { level: 6, strategy });
      if (tried.length < best.length) best = tried;
    }
  }
  return Buffer.concat([Buffer.of(best === raw ? RAW : DEFLATED), best]);
}

function unsqueeze(part: Uint8Array, count: number): Float64Array {
  const codes = new Float64Array(count);
  const body = part.subarray(1);
  switch (part[0]) {
    case CONSTANT: {
      const pair = new Float64Array(2);
      readCodes(body, pair);
      codes.fill(pair[1]!);
      if (count > 0) codes[0] = pair[0]!;
      return codes;
    }
    case RAW:
    case DEFLATED: {
      const bytes = part[0] === RAW ? body : inflateRawSync(body);
      if (readCodes(bytes, codes) !== bytes.length) throw new RangeError("a column is longer than its rows");
      return codes;
    }
    default:
      throw new RangeError(`column method: expected 0, 1 or 2, got ${part[0] ?? "nothing"}`);
  }
}
