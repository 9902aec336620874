// The parts list and the pin map as tables for the guide.

import { amountText, PARTS } from "./parts.ts";
import { pinRows, WIRED_CHIPS } from "./pins.ts";

const table = (head: readonly string[], rows: readonly (readonly string[])[]): string =>
  [head, head.map(() => "---"), ...rows].map((cells) => `| ${cells.join(" | ")} |\n`).join("");

/** Every part with value, rating and purpose, as Markdown. */
export function partsTable(): string {
  const rows = PARTS.map(({ reference, what, amount, rating, why, needed }) => [
    reference,
    what,
    amountText(amount),
    rating,
    needed ? why : `option: ${why}`,
  ]);
  return table(["part", "what", "value", "stands at least", "what for"], rows);
}

/** The pins in use and the chips' addresses, as Markdown. */
export function pinsTable(): string {
  const pins = pinRows().flatMap(({ pin, use }) => (use === null ? [] : [[String(pin.pin), pin.name, use]]));
  const chips = WIRED_CHIPS.map(({ part, name, chip, address }) => [part, name, chip, `0x${address.toString(16)}`]);
  return `${table(["pin", "carries", "used for"], pins)}\n${table(["part", "sensor", "chip", "address"], chips)}`;
}
