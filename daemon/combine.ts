// Several thermometers in one role become one reading. It weighs what was read; it never reads.

import type { Role } from "../hardware/ports.ts";
import { bad, good, type Reading, suspect } from "./core/readings.ts";

/** Thermometers in one place that differ by more than this are not both right. */
const DISAGREE_KELVIN = 3;

type Weighing = (values: readonly number[]) => number;
const mean: Weighing = (values) => values.reduce((sum, one) => sum + one, 0) / values.length;
const highest: Weighing = (values) => Math.max(...values);
const lowest: Weighing = (values) => Math.min(...values);

/**
 * While they agree, and when they do not: then the one counts that makes the core hotter, for the mean of a right and a wrong one is
 * wrong. On the core the hottest spot counts in any case.
 */
const WEIGHING: Readonly<Record<Role, readonly [agreed: Weighing, apart: Weighing]>> = {
  inlet: [mean, lowest],
  ambient: [mean, lowest],
  outlet: [mean, highest],
  wall: [mean, highest],
  core: [highest, highest],
};

/** One reading for a role; null when the role is not fitted, bad only when every thermometer of the role is. */
export function combine(readings: readonly Reading[], role: Role): Reading | null {
  const [first, second] = readings;
  if (first === undefined || second === undefined) return first ?? null;
  const usable = readings.filter((reading) => reading.value !== null);
  if (usable.length === 0) return bad(first.code ?? "NOT_READY");
  const trusted = usable.filter((reading) => reading.quality === "good");
  const chosen = trusted.length > 0 ? trusted : usable;
  const values = chosen.map((reading) => reading.value);
  const [agreed, apart] = WEIGHING[role];
  if (highest(values) - lowest(values) > DISAGREE_KELVIN) return suspect(apart(values), "DISAGREE");
  const doubt = trusted.length > 0 ? null : (chosen[0]?.code ?? null);
  return doubt === null ? good(agreed(values)) : suspect(agreed(values), doubt);
}
