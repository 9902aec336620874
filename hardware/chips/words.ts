// Sixteen-bit registers as they cross the wire, most significant byte first. It knows no chip.

/** The unsigned word at `at`; throws RangeError when the bytes end before it. */
export function word(bytes: Uint8Array, at = 0): number {
  const [high, low] = [bytes[at], bytes[at + 1]];
  if (high === undefined || low === undefined) throw new RangeError(`no word at ${at} of ${bytes.length} bytes`);
  return (high << 8) | low;
}

/** The word at `at` in two's complement. */
export function signedWord(bytes: Uint8Array, at = 0): number {
  return (word(bytes, at) << 16) >> 16;
}

/** A write of one word to a register. */
export function wordWrite(register: number, value: number): Uint8Array {
  return Uint8Array.of(register, value >> 8, value & 0xff);
}
