// How one wear quantity is written for the reader: its decimals and unit, with kelvin differences in the reader's degrees.
// Pure.

import type { Wear } from "../../daemon/wire/season.ts";
import { type Figures, joined } from "../figures.ts";

/** A value with its unit. */
export function writeValue({ unit }: Pick<Wear, "unit">, value: number, figures: Figures): string {
  if (unit === "K") return joined(figures.difference(value, 2));
  return joined({ number: figures.number(value, unit === "" ? 3 : unit === "s" ? 2 : 1), unit: unitText(unit) });
}

/** A slope or its doubt, in two significant digits with the unit. */
export function writeSlope({ unit }: Pick<Wear, "unit">, value: number, figures: Figures): string {
  if (unit !== "K") return joined({ number: figures.brief(value), unit: unitText(unit) });
  const inDegrees = figures.temperatureValue(value) - figures.temperatureValue(0);
  return joined({ number: figures.brief(inDegrees), unit: figures.difference(0).unit });
}

/** A number for the axis, without unit. */
export function writeTick({ unit }: Pick<Wear, "unit">, value: number, figures: Figures): string {
  if (unit === "K") return figures.difference(value, 2).number;
  return figures.number(value, unit === "" ? 2 : unit === "s" ? 1 : 0);
}

/** Revolutions per minute and volt as people say it. */
export const unitText = (unit: string): string => (unit === "1/(min·V)" ? "rpm/V" : unit);
