// The eight GPIO lines of the guest, seen from outside: words in the file that is the guest's memory.
// Register places: drivers/gpio/gpio-amdpt.c of Linux 6.12.

import { type FileHandle, open } from "node:fs/promises";

/** Where `pins.asl` says the controller is. */
export const PINS_ADDRESS = 0x3ff0_0000;

/** The chip's label: the firmware's identity and a counter. */
export const PINS_LABEL = "AMDF030:00";

const REGISTERS = { direction: 0x00, input: 0x04, output: 0x08, requested: 0x28 } as const;

export class Pins {
  readonly #memory: FileHandle;

  private constructor(memory: FileHandle) {
    this.#memory = memory;
  }

  /** All lines are inputs and low, as after a reset. */
  static async reset(memoryFile: string): Promise<Pins> {
    const pins = new Pins(await open(memoryFile, "r+"));
    for (const place of Object.values(REGISTERS)) await pins.#write(place, 0);
    return pins;
  }

  /** Whether the line drives a level, and that level. */
  async line(offset: number): Promise<{ readonly isOutput: boolean; readonly isHigh: boolean }> {
    const bit = 1 << offset;
    const [direction, output] = [await this.#read(REGISTERS.direction), await this.#read(REGISTERS.output)];
    return { isOutput: (direction & bit) !== 0, isHigh: (output & bit) !== 0 };
  }

  async #read(place: number): Promise<number> {
    const { buffer } = await this.#memory.read(Buffer.alloc(4), 0, 4, PINS_ADDRESS + place);
    return buffer.readUInt32LE(0);
  }

  async #write(place: number, word: number): Promise<void> {
    const bytes = Buffer.alloc(4);
    bytes.writeUInt32LE(word >>> 0);
    await this.#memory.write(bytes, 0, 4, PINS_ADDRESS + place);
  }

  close(): Promise<void> {
    return this.#memory.close();
  }
}
