// Which GPIO chips carry the 40-pin header, and which of their lines is meant by a pin or by a name such as GPIO17. Facts only;
// it opens nothing and asks no kernel.
import { HEADER_PINS, type HeaderPin, headerLine } from "../header.ts";
import type { LineSpec } from "../ports.ts";

/**
 * GPIO chips whose lines 0 to 27 are GPIO0 to GPIO27 of the header, by the label that the kernel's driver gives them
 * (drivers/pinctrl/bcm/pinctrl-bcm2835.c, drivers/pinctrl/pinctrl-rp1.c). Boards of 2012 have 26 pins, some of them other GPIOs.
 */
export const HEADER_CHIPS = [
  { label: "pinctrl-rp1", boards: "Raspberry Pi 5" },
  { label: "pinctrl-bcm2711", boards: "Raspberry Pi 4 and 400" },
  { label: "pinctrl-bcm2835", boards: "Raspberry Pi 1 to 3 and Zero" },
] as const;

/** What a pin is, counted from 1; null where the header has no such pin. */
export function headerPin(pin: number): HeaderPin | null {
  return HEADER_PINS.find((known) => known.pin === pin) ?? null;
}

/** The offset that the name `GPIO17` has on every header chip; null for any other name. */
export function headerOffsetOfName(name: string): number | null {
  const match = /^GPIO(0|[1-9]\d?)$/.exec(name);
  return match === null ? null : (headerLine(Number(match[1]))?.offset ?? null);
}

/** True for the label of a chip that carries the header. */
export function isHeaderChip(label: string): boolean {
  return HEADER_CHIPS.some((chip) => chip.label === label);
}

/** The header chip's line that is meant, where that can be told without a kernel; null for a line of another chip or name. */
export function headerOffset(line: LineSpec): number | null {
  if ("headerPin" in line) {
    const pin = headerPin(line.headerPin);
    return pin?.kind === "line" ? pin.offset : null;
  }
  if (line.chipLabel !== null && !isHeaderChip(line.chipLabel)) return null;
  return "offset" in line ? line.offset : headerOffsetOfName(line.name);
}
