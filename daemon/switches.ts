// The lines that the heartbeat sets once a cycle, beside the permit lines: the switch in the fan's supply, and the
// pulse that a one-shot in hardware waits for. One line for the record when one does not follow. It decides nothing.

import type { DrivenLine, Hardware } from "../hardware/ports.ts";

export class Switches {
  readonly #hardware: Pick<Hardware, "fanCut" | "pulse">;
  readonly #onTrouble: (tag: string, text: string) => void;
  readonly #troubles = new Map<string, string>();
  #level: 0 | 1 = 0;

  /** `onTrouble` hears once of each new trouble with a line. */
  constructor(hardware: Pick<Hardware, "fanCut" | "pulse">, onTrouble: (tag: string, text: string) => void) {
    this.#hardware = hardware;
    this.#onTrouble = onTrouble;
  }

  /** After the relay was driven. */
  set(fanPower: boolean): void {
    const { fanCut, pulse } = this.#hardware;
    this.#level = this.#level === 0 ? 1 : 0;
    this.#put("fan-cut-failed", fanCut, fanPower ? 0 : 1);
    this.#put("pulse-failed", pulse, this.#level);
  }

  /** After a cycle that failed: the pulse stands still, and the fan has its supply, for nobody counts how long it is cut. */
  afterFailure(): void {
    this.#put("fan-cut-failed", this.#hardware.fanCut, 0);
  }

  #put(tag: string, line: DrivenLine | null, level: 0 | 1): void {
    if (line === null) return;
    line.put(level);
    const text = line.trouble?.message ?? null;
    if (text === null) this.#troubles.delete(tag);
    else if (this.#troubles.get(tag) !== text) {
      this.#troubles.set(tag, text);
      this.#onTrouble(tag, text);
    }
  }
}
