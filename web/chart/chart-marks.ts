// What the chart draws besides its lines: shading of transmissions, names at the lines' ends, ticks on full minutes.
// Each is made for one chart and asks it what is shown; nothing here keeps data.

import { Chart, type Plugin } from "chart.js";
import { operating, transmissions } from "../trail.ts";
import type { ChartPicture, ChartWords } from "./chart-picture.ts";

/** What the chart shows now; null before the first picture. */
type Shown = () => ChartPicture | null;

/** Shades the operating behind everything else, with each over along the foot. */
export const overs = (shown: Shown): Plugin<"line"> => ({
  id: "overs",
  beforeDatasetsDraw(chart) {
    const picture = shown();
    const { x } = chart.scales;
    if (picture === null || x === undefined) return;
    const { ctx, chartArea } = chart;
    const fill = (from: number, to: number, top: number): void => {
      const left = Math.max(chartArea.left, x.getPixelForValue(from));
      const right = Math.min(chartArea.right, x.getPixelForValue(to));
      if (right > left) ctx.fillRect(left, top, right - left, chartArea.bottom - top);
    };
    const all = transmissions(picture.trail);
    ctx.save();
    ctx.fillStyle = picture.colours.over;
    for (const { from, to } of operating(all)) fill(from, to, chartArea.top);
    // The keying itself as a tape along the foot: overs of seconds would only be noise behind the lines.
    ctx.fillStyle = picture.colours.keyed;
    for (const { from, to, whole } of all) {
      ctx.globalAlpha = whole ? 1 : 0.45;
      fill(from, to, chartArea.bottom - picture.fontPixels * 0.6);
    }
    ctx.restore();
  },
});

/** Names written at the line's own end instead of a legend to look up; pushed apart where they would overlap. */
export const endLabels = (shown: Shown): Plugin<"line"> => ({
  id: "endLabels",
  afterDatasetsDraw(chart) {
    const picture = shown();
    const { y } = chart.scales;
    if (picture === null || y === undefined) return;
    const { ctx, chartArea } = chart;
    const height = picture.fontPixels * 1.25;
    const labels = chart.data.datasets
      .flatMap((dataset) => {
        const last = (dataset.data as { y: number }[]).at(-1);
        return last === undefined || Number.isNaN(last.y)
          ? []
          : [{ text: dataset.label ?? "", colour: String(dataset.borderColor), y: y.getPixelForValue(last.y) }];
      })
      .sort((left, right) => left.y - right.y);
    let free = Number.NEGATIVE_INFINITY;
    for (const label of labels) {
      label.y = Math.max(label.y, free);
      free = label.y + height;
    }
    let ceiling = chartArea.bottom;
    for (const label of [...labels].reverse()) {
      label.y = Math.min(label.y, ceiling);
      ceiling = label.y - height;
    }
    ctx.save();
    ctx.font = `${picture.fontPixels}px ${Chart.defaults.font.family ?? "sans-serif"}`;
    ctx.textBaseline = "middle";
    for (const label of labels) {
      ctx.fillStyle = label.colour;
      ctx.fillText(label.text, chartArea.right + 8, label.y);
    }
    ctx.restore();
  },
});

/** Ticks on full minutes of the wall clock, `most` of them or a few fewer. */
export function minuteTicks(
  { nowSeconds, spanSeconds, tickPhaseSeconds }: ChartPicture,
  most: number,
): { value: number }[] {
  const every = [60, 120, 300, 600].find((step) => spanSeconds / step <= most) ?? 900;
  const first = nowSeconds - spanSeconds;
  const start = first + ((((tickPhaseSeconds - first) % every) + every) % every);
  const count = Math.floor((nowSeconds - start) / every) + 1;
  return Array.from({ length: count }, (_, index) => ({ value: start + index * every }));
}

/** Width that the names at the lines' ends need, px. */
export function labelRoom(words: ChartWords, fontPixels: number): number {
  const longest = Math.max(
    ...[words.core, words.upper, words.outlet, words.inlet, words.limit].map((text) => text.length),
  );
  return Math.ceil(longest * fontPixels * 0.6) + 10;
}
