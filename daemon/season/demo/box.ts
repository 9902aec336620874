// How worn the demo season's box is on each of its days: vents that clog and are cleaned, a bearing that stiffens and a new fan, a
// sensor that drifts, a core that ages on one band. A scenario of our own; nothing in it was measured.

import { type Chance, NEW_FAN, VENTS_CLEANED, VENTS_CLOG_FROM } from "./calendar.ts";

/** The state of wear on a day of the season. */
export type Box = {
  readonly flow: number;
  readonly rpmPerVolt: number;
  readonly startSeconds: number;
  readonly outletOffset: number;
  readonly wallOffset: number;
  readonly ambientOffset: number;
  readonly lossFactor: Readonly<Record<string, number>>;
};

export function boxOn(day: number, chance: Chance): Box {
  const wobble = (what: number, size: number): number => size * (chance(day * 16 + what) - 0.5);
  const clogged =
    day < VENTS_CLOG_FROM ? 0 : (day < VENTS_CLEANED ? day - VENTS_CLOG_FROM : (day - VENTS_CLEANED) * 0.3) / 98;
  const bearing = day < NEW_FAN ? (day / NEW_FAN) ** 2 : 0;
  return {
    flow: 1 - 0.16 * clogged + wobble(0, 0.02),
    rpmPerVolt: 917 * (1 - 0.05 * bearing) + wobble(1, 4),
    startSeconds: 1.1 + 1.4 * bearing + wobble(2, 0.15),
    outletOffset: 0.05 + 0.0012 * day + wobble(3, 0.06),
    wallOffset: wobble(8, 0.12),
    ambientOffset: wobble(9, 0.1),
    lossFactor: {
      "80 m": 1.02 + 0.0004 * day + wobble(4, 0.02),
      "40 m": 0.98 + wobble(5, 0.02),
      "20 m": 1.01 + wobble(6, 0.02),
      "15 m": 0.99 + wobble(7, 0.02),
    },
  };
}
