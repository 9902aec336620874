// The chart's lines out of a trail: extremes as they are, holes where there were no data. Pure; it smooths nothing.

import type { ChartDataset } from "chart.js";
import type { Extremes } from "../trail.ts";
import type { ChartPicture } from "./chart-picture.ts";

/** One point; y NaN breaks the line. */
export type Spot = { x: number; y: number };

/** Lowest and highest of each bucket as two points, in the order that keeps the line short; holes break the line. */
function points(extremes: readonly Extremes[], { degrees, holeSeconds }: ChartPicture, pick: "both" | "high"): Spot[] {
  const spots: Spot[] = [];
  let before: Extremes | null = null;
  for (const bucket of extremes) {
    const [at, low, high] = bucket;
    if (before !== null && at - before[0] > holeSeconds) spots.push({ x: before[0] + 1, y: Number.NaN });
    const rising = before === null || low + high >= before[1] + before[2];
    const ordered = pick === "high" ? [high] : low === high ? [low] : rising ? [low, high] : [high, low];
    for (const value of ordered) spots.push({ x: at, y: degrees(value) });
    before = bucket;
  }
  return spots;
}

/** Upper bound (filled down to the core), core, outlet, inlet, limit. */
export function linesOf(picture: ChartPicture): ChartDataset<"line", Spot[]>[] {
  const { trail, degrees, colours, words, limitCelsius, nowSeconds, spanSeconds } = picture;
  const line = (label: string, data: Spot[], borderColor: string, more: Partial<ChartDataset<"line", Spot[]>>) => ({
    label,
    data,
    borderColor,
    borderWidth: 1.75,
    pointRadius: 0,
    ...more,
  });
  const limit = degrees(limitCelsius);
  return [
    line(words.upper, points(trail.core_upper_celsius, picture, "high"), colours.core, {
      borderWidth: 1,
      borderDash: [2, 3],
      fill: "+1",
      backgroundColor: colours.band,
    }),
    line(words.core, points(trail.core_celsius, picture, "both"), colours.core, { borderWidth: 2.5 }),
    line(words.outlet, points(trail.outlet_celsius, picture, "both"), colours.outlet, {}),
    line(words.inlet, points(trail.inlet_celsius, picture, "both"), colours.inlet, { borderDash: [7, 4] }),
    line(
      words.limit,
      [
        { x: nowSeconds - spanSeconds, y: limit },
        { x: nowSeconds, y: limit },
      ],
      colours.limit,
      { borderWidth: 1.5, borderDash: [12, 3, 2, 3] },
    ),
  ];
}
