// Whole numbers from 0 to 2^53 as little-endian base-128 bytes, and back. It knows nothing of what they count.

export class VarintWriter {
  #bytes = new Uint8Array(64);
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

  /** What was written so far; valid until the next write. */
  bytes(): Uint8Array {
    return this.#bytes.subarray(0, this.#length);
  }
}

/** All codes in a row. */
export function writeCodes(codes: ArrayLike<number>): Uint8Array {
  const writer = new VarintWriter();
  for (let index = 0; index < codes.length; index += 1) writer.write(codes[index]!);
  return writer.bytes();
}

/** Fills `into` from the start of `bytes`; returns how many bytes that took. @throws RangeError when they end too early */
export function readCodes(bytes: Uint8Array, into: Float64Array): number {
  let at = 0;
  for (let index = 0; index < into.length; index += 1) {
    let byte = bytes[at++];
    if (byte === undefined) throw new RangeError("the block ends too early");
    let value = byte & 127;
    let scale = 128;
    while (byte >= 128) {
      byte = bytes[at++];
      if (byte === undefined) throw new RangeError("the block ends too early");
      value += (byte & 127) * scale;
      scale *= 128;
    }
    into[index] = value;
  }
  return at;
}
