// Stands between drivers and daemon and spoils chosen calls to parts: an error of the closed list, an answer that comes too late,
// or a number that is none. It notes which part it spoiled; everything else passes untouched.

import { HARDWARE_ERRORS, HardwareError, type HardwareErrorCode } from "../../../hardware/errors.ts";
import type { Hardware, Part } from "../../../hardware/ports.ts";

/** What becomes of a spoiled call. */
export type Spoil = HardwareErrorCode | "hangs" | "NaN" | "+inf" | "-inf";

const NUMBERS = { NaN: Number.NaN, "+inf": Number.POSITIVE_INFINITY, "-inf": Number.NEGATIVE_INFINITY } as const;

/** Every way to spoil a call. */
export const SPOILS: readonly Spoil[] = [
  ...(Object.keys(HARDWARE_ERRORS) as HardwareErrorCode[]),
  "hangs",
  ...(Object.keys(NUMBERS) as (keyof typeof NUMBERS)[]),
];

/** Longer than a sweep waits, s. */
const HANGS_SECONDS = 3;

export class Saboteur {
  readonly #spoil: Spoil;
  readonly #chosen: (call: number) => boolean;
  readonly #spoiled: string[] = [];
  #calls = 0;
  #injected = 0;

  /** `chosen` says of each call, counted from 1, whether it is spoiled. */
  constructor(spoil: Spoil, chosen: (call: number) => boolean) {
    this.#spoil = spoil;
    this.#chosen = chosen;
  }

  get calls(): number {
    return this.#calls;
  }

  get injected(): number {
    return this.#injected;
  }

  /** Names of the parts that were spoiled since this was asked last. */
  take(): readonly string[] {
    return this.#spoiled.splice(0);
  }

  /** The same hardware with this saboteur in it. */
  readonly within = (hardware: Hardware): Hardware => {
    const { relay, tachometer, supply, drive } = hardware;
    const spoilt = <Sample extends object, Whole extends Part<Sample>>(part: Whole): Whole => ({
      ...part,
      read: () => this.#pass(part.name, part.place, hardware, () => part.read()),
    });
    return {
      ...hardware,
      temperatures: hardware.temperatures.map((part) => spoilt(part)),
      tachometer: tachometer && {
        ...spoilt(tachometer),
        name: tachometer.name,
        onQuiet: (seconds, wake) => tachometer.onQuiet(seconds, wake),
      },
      supply: supply && spoilt(supply),
      drive: drive && spoilt(drive),
      relay: relay && {
        place: relay.place,
        readBack: () => this.#pass("relay", relay.place, hardware, () => relay.readBack()),
        permit: (lines) => this.#order(relay.place, () => relay.permit(lines)),
        close: () => relay.close(),
      },
    };
  };

  #strikes(): boolean {
    this.#calls += 1;
    return this.#chosen(this.#calls);
  }

  async #pass<Sample extends object>(
    name: string,
    place: string,
    hardware: Hardware,
    read: () => Promise<Sample>,
  ): Promise<Sample> {
    if (!this.#strikes()) return read();
    this.#injected += 1;
    this.#spoiled.push(name);
    const spoil = this.#spoil;
    if (spoil === "hangs") {
      await new Promise<void>((resolve) => hardware.clock.after(HANGS_SECONDS, resolve));
      return read();
    }
    if (!isNumber(spoil)) throw new HardwareError(spoil, place);
    const sample = await read();
    const entries = Object.entries(sample).map(([key, value]) => [
      key,
      typeof value === "number" ? NUMBERS[spoil] : value,
    ]);
    return Object.fromEntries(entries) as Sample;
  }

  /** An order to the relay fails by errors only: a driver that bounds its calls does not hang. */
  async #order(place: string, permit: () => Promise<void>): Promise<void> {
    if (this.#strikes() && this.#spoil !== "hangs" && !isNumber(this.#spoil)) {
      this.#injected += 1;
      throw new HardwareError(this.#spoil, place);
    }
    return permit();
  }
}

function isNumber(spoil: Spoil): spoil is keyof typeof NUMBERS {
  return spoil in NUMBERS;
}
