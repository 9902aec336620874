// What SHT3x and SHT4x share on the wire: a command, a wait, then words that each carry a checksum.
// It never passes on a word whose checksum is wrong.
import { pause } from "../clock.ts";
import { HardwareError } from "../errors.ts";
import type { I2cDevice } from "../i2c.ts";
import { hex } from "./chip.ts";
import { sensirionCrc8 } from "./crc8.ts";
import { word } from "./words.ts";

/** The words of an answer, each of two bytes and its checksum; throws CRC at `place`. */
export function checkedWords(bytes: Uint8Array, place: string): number[] {
  const words: number[] = [];
  for (let at = 0; at + 3 <= bytes.length; at += 3) {
    const expected = sensirionCrc8(bytes.subarray(at, at + 2));
    const got = bytes[at + 2];
    if (got !== expected) {
      throw new HardwareError("CRC", place, `${hex(word(bytes, at))} has checksum ${expected}, received ${got}`);
    }
    words.push(word(bytes, at));
  }
  return words;
}

/** Sends a command, waits, and reads `words` checked words. */
export async function ask(
  device: I2cDevice,
  command: readonly number[],
  waitSeconds: number,
  words: number,
): Promise<number[]> {
  await device.write(Uint8Array.from(command));
  await pause(device.clock, waitSeconds);
  return checkedWords(await device.read(words * 3), device.place);
}

/** Asks for an identity a few times: noise spoils one checksum, another kind of chip spoils them all. */
export async function askIdentity(
  device: I2cDevice,
  part: string,
  command: readonly number[],
  words: number,
): Promise<number[]> {
  for (let attempt = 0; ; attempt += 1) {
    try {
      return await ask(device, command, 0.002, words);
    } catch (cause) {
      if (!(cause instanceof HardwareError) || cause.code !== "CRC") throw cause;
      if (attempt === 2) {
        throw new HardwareError("WRONG_DEVICE", device.place, `no answer with ${part}'s checksum`, { cause });
      }
    }
  }
}
