// An hour of rows packed column by column: quantised, differenced, zigzag variable-length, deflated.
// Pure in and out (zlib apart); it knows no database and no clock.

import { deflateRawSync, inflateRawSync } from "node:zlib";

/** How one quantity is stored: rounded to whole multiples of `step`, which bounds the error to half of it. */
export type ColumnSpec = { readonly name: string; readonly step: number };

/** Rows of one block, column-wise; NaN = no value. All columns are as long as `seconds`, which never falls. */
export type Columns = {
  /** Whole seconds from the block's start. */
  readonly seconds: ArrayLike<number>;
  readonly values: { readonly [name: string]: ArrayLike<number> };
};

export type UnpackedBlock = {
  readonly seconds: Int32Array;
  readonly values: { readonly [name: string]: Float64Array };
};

/** First byte of every block; a reader that meets another version must not guess. */
const BLOCK_VERSION = 1;

/** 0 stands for "no value"; differences are zigzagged and moved up by one. */
const MISSING = 0;

/** Largest quantised magnitude: differences stay exact integers in a double. */
const LARGEST_STEPS = 2 ** 50;

/** A block as bytes. Throws RangeError when a value cannot be held exactly or the columns differ in length. */
export function packBlock(specs: readonly ColumnSpec[], columns: Columns): Buffer {
  const count = columns.seconds.length;
  const writer = new VarintWriter();
  writer.write(count);
  let before = 0;
  for (let row = 0; row < count; row += 1) {
    const second = columns.seconds[row]!;
    if (!Number.isInteger(second) || second < before)
      throw new RangeError(`row ${row}: second ${second} after ${before}`);
    writer.write(second - before);
    before = second;
  }
  for (const { name, step } of specs) {
    const values = columns.values[name];
    if (values === undefined || values.length !== count) {
      throw new RangeError(`${name}: expected ${count} values, got ${values?.length ?? "none"}`);
    }
    packColumn(writer, name, step, values);
  }
  return Buffer.concat([Buffer.of(BLOCK_VERSION), deflateRawSync(writer.bytes(), { level: 6 })]);
}

/** The rows of a block, exact to half a step. Throws RangeError on a block that is damaged or of another version. */
export function unpackBlock(specs: readonly ColumnSpec[], block: Uint8Array): UnpackedBlock {
  if (block[0] !== BLOCK_VERSION)
    throw new RangeError(`block version: expected ${BLOCK_VERSION}, got ${block[0] ?? "nothing"}`);
  const reader = new VarintReader(inflateRawSync(block.subarray(1)));
  const count = reader.read();
  const seconds = new Int32Array(count);
  let second = 0;
  for (let row = 0; row < count; row += 1) {
    second += reader.read();
    seconds[row] = second;
  }
  const values: Record<string, Float64Array> = {};
  for (const { name, step } of specs) values[name] = unpackColumn(reader, step, count);
  reader.end();
  return { seconds, values };
}

function packColumn(writer: VarintWriter, name: string, step: number, values: ArrayLike<number>): void {
  let before = 0;
  for (let row = 0; row < values.length; row += 1) {
    const value = values[row]!;
    if (Number.isNaN(value)) {
      writer.write(MISSING);
      continue;
    }
    const steps = Math.round(value / step);
    if (!(Math.abs(steps) <= LARGEST_STEPS)) throw new RangeError(`${name}: ${value} is too large to store`);
    const difference = steps - before;
    writer.write((difference >= 0 ? 2 * difference : -2 * difference - 1) + 1);
    before = steps;
  }
}

function unpackColumn(reader: VarintReader, step: number, count: number): Float64Array {
  const values = new Float64Array(count);
  let steps = 0;
  for (let row = 0; row < count; row += 1) {
    const code = reader.read();
    if (code === MISSING) {
      values[row] = Number.NaN;
      continue;
    }
    const zigzag = code - 1;
    steps += zigzag % 2 === 0 ? zigzag / 2 : -(zigzag + 1) / 2;
    values[row] = steps * step;
  }
  return values;
}

/** Little-endian base-128 numbers up to 2^53. */
class VarintWriter {
  #bytes = new Uint8Array(65_536);
  #length = 0;

  write(value: number): void {
    if (this.#length + 8 > this.#bytes.length) {
      const larger = new Uint8Array(2 * this.#bytes.length);
      larger.set(this.#bytes);
      this.#bytes = larger;
    }
    let rest = value;
    while (rest >= 128) {
      this.#bytes[this.#length++] = (rest % 128) | 128;
      rest = Math.floor(rest / 128);
    }
    this.#bytes[this.#length++] = rest;
  }

  bytes(): Uint8Array {
    return this.#bytes.subarray(0, this.#length);
  }
}

class VarintReader {
  readonly #bytes: Uint8Array;
  #at = 0;

  constructor(bytes: Uint8Array) {
    this.#bytes = bytes;
  }

  read(): number {
    let value = 0;
    let scale = 1;
    for (;;) {
      const byte = this.#bytes[this.#at++];
      if (byte === undefined) throw new RangeError("the block ends too early");
      value += (byte & 127) * scale;
      if (byte < 128) return value;
      scale *= 128;
    }
  }

  end(): void {
    if (this.#at !== this.#bytes.length) throw new RangeError("the block is longer than its rows");
  }
}
