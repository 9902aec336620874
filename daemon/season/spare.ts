// A place on the disk that is there before it is needed: while the log cannot be written, the newest checkpoint goes here, over
// blocks the file already has, so that a full disk cannot make a power cut forget a trip. It knows nothing of the log.

import { createHash } from "node:crypto";
import { closeSync, constants, fdatasyncSync, fsyncSync, openSync, readFileSync, readSync, writeSync } from "node:fs";
import { deflateRawSync, inflateRawSync } from "node:zlib";

/** Before the text, in a sector of its own: how long the text is once deflated, and its SHA-256. Zeros: nothing is kept. */
const HEAD_BYTES = 512;
const HASH_BYTES = 32;
/** A checkpoint takes a tenth of it. */
const FILE_BYTES = 64 * 1024;

export class Spare {
  readonly #descriptor: number;
  #isInUse: boolean;
  /** What is there for certain, so that the same text is written once. */
  #text: string | null = null;

  /**
   * The file with all of its blocks, made unless it is there.
   * @throws what the disk says
   */
  constructor(file: string) {
    this.#descriptor = openWhole(file);
    this.#isInUse = !isEmpty(this.#descriptor);
  }

  /** Whether something is kept, readable or spoilt. */
  get isInUse(): boolean {
    return this.#isInUse;
  }

  /**
   * Puts the text in the place of the last one. Cut short, it leaves what cannot be read, and never an older text.
   * @throws RangeError for more than finds room; otherwise what the disk says
   */
  keep(text: string): void {
    if (text === this.#text) return;
    const body = deflateRawSync(text);
    if (HEAD_BYTES + body.length > FILE_BYTES) {
      throw new RangeError(`spare: expected at most ${FILE_BYTES - HEAD_BYTES} bytes deflated, got ${body.length}`);
    }
    this.#isInUse = true;
    this.#text = null;
    this.#write(HEAD_BYTES, body);
    const head = Buffer.alloc(HEAD_BYTES);
    head.writeUInt32LE(body.length);
    head.set(hashOf(body), 4);
    this.#write(0, head);
    this.#text = text;
  }

  /** @throws what the disk says */
  clear(): void {
    if (!this.#isInUse) return;
    this.#text = null;
    this.#write(0, Buffer.alloc(HEAD_BYTES));
    this.#isInUse = false;
  }

  close(): void {
    closeSync(this.#descriptor);
  }

  #write(place: number, bytes: Uint8Array): void {
    writeSync(this.#descriptor, bytes, 0, bytes.length, place);
    fdatasyncSync(this.#descriptor);
  }
}

/** What is kept; null when nothing is, or there is no such file. @throws Error for what was cut short, or what the disk says */
export function spareText(file: string): string | null {
  const bytes = readIfThere(file);
  if (bytes === null || bytes.subarray(0, HEAD_BYTES).every((byte) => byte === 0)) return null;
  const length = bytes.length < HEAD_BYTES ? 0 : bytes.readUInt32LE();
  const body = bytes.subarray(HEAD_BYTES, HEAD_BYTES + length);
  if (!hashOf(body).equals(bytes.subarray(4, 4 + HASH_BYTES))) throw new Error(`${file}: what is kept there is spoilt`);
  return inflateRawSync(body).toString("utf8");
}

function readIfThere(file: string): Buffer | null {
  try {
    return readFileSync(file);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") return null;
    throw error;
  }
}

/** All of its blocks are taken: zeros that are written take some, a hole would not. */
function openWhole(file: string): number {
  const descriptor = openSync(file, constants.O_RDWR | constants.O_CREAT, 0o600);
  try {
    const there = readSync(descriptor, Buffer.alloc(FILE_BYTES), 0, FILE_BYTES, 0);
    if (there < FILE_BYTES) writeSync(descriptor, Buffer.alloc(FILE_BYTES - there), 0, FILE_BYTES - there, there);
    fsyncSync(descriptor);
    return descriptor;
  } catch (error) {
    closeSync(descriptor);
    throw error;
  }
}

function isEmpty(descriptor: number): boolean {
  const head = Buffer.alloc(HEAD_BYTES);
  readSync(descriptor, head, 0, HEAD_BYTES, 0);
  return head.every((byte) => byte === 0);
}

const hashOf = (bytes: Uint8Array): Buffer => createHash("sha256").update(bytes).digest();
