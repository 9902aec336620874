// Several thermometers in one role become one reading. It weighs what was read; it never reads.

import { bad, good, type Reading, suspect } from "./core/readings.ts";

/** Thermometers in one place that differ by more than this are not both right. */
const DISAGREE_KELVIN = 3;

/** `mean` for air and walls; `highest` for the core, where the hottest spot counts. */
export type Weighing = "mean" | "highest";

/** One reading for a role; null when the role is not fitted, bad only when every thermometer of the role is. */
export function combine(readings: readonly Reading[], weighing: Weighing): Reading | null {
  const [first, second] = readings;
  if (first === undefined || second === undefined) return first ?? null;
  const usable = readings.filter((reading) => reading.value !== null);
  if (usable.length === 0) return bad(first.code ?? "NOT_READY");
  const trusted = usable.filter((reading) => reading.quality === "good");
  const chosen = trusted.length > 0 ? trusted : usable;
  const values = chosen.map((reading) => reading.value);
  const value = weighing === "mean" ? values.reduce((sum, one) => sum + one, 0) / values.length : Math.max(...values);
  if (Math.max(...values) - Math.min(...values) > DISAGREE_KELVIN) return suspect(value, "DISAGREE");
  const doubt = trusted.length > 0 ? null : (chosen[0]?.code ?? null);
  return doubt === null ? good(value) : suspect(value, doubt);
}
