// How one wear quantity is written for the reader: its decimals and unit, with kelvin differences in the reader's degrees.
// Pure.

import type { Wear } from "../../daemon/wire/season.ts";
import { type Figures, joined } from "../figures.ts";

/** A value with its unit; `digits` more than usual for slopes. */
export function writeValue({ unit }: Pick<Wear, "unit">, value: number, figures: Figures, extra = 0): string {
  if (unit === "K") return joined(figures.difference(value, Math.min(3, 2 + extra)));
  const digits = unit === "" ? 3 : unit === "s" ? 2 : 1;
  return joined({ number: figures.number(value, Math.min(3, digits + extra)), unit: unitText(unit) });
}

/** A number for the axis, without unit. */
export function writeTick({ unit }: Pick<Wear, "unit">, value: number, figures: Figures): string {
  if (unit === "K") return figures.difference(value, 2).number;
  return figures.number(value, unit === "" ? 2 : unit === "s" ? 1 : 0);
}

/** Revolutions per minute and volt as people say it. */
export const unitText = (unit: string): string => (unit === "1/(min·V)" ? "rpm/V" : unit);
