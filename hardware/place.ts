// How a place on the board is written for the operator, the same in every error, log row and page.
import type { LineSpec } from "./ports.ts";

/** e.g. `i2c-1`. */
export function placeOfBus(bus: number): string {
  return `i2c-${bus}`;
}

/** e.g. `i2c-1 0x48`. */
export function placeOfAddress(bus: number, address: number): string {
  return `${placeOfBus(bus)} 0x${address.toString(16).padStart(2, "0")}`;
}

/** e.g. `gpio 24` for the header's chip, `209c000.gpio 10` for a named one, `pin 18` of the header, `line "GPIO24"`. */
export function placeOfLine(line: LineSpec): string {
  if ("headerPin" in line) return `pin ${line.headerPin}`;
  if ("name" in line) return `${line.chipLabel === null ? "line" : line.chipLabel} "${line.name}"`;
  return `${line.chipLabel ?? "gpio"} ${line.offset}`;
}
