// The chart of the last half hour on chart.js: built once and kept for the life of the page; only data and colours change.
// Loaded after the first paint. It draws extremes as they come and smooths nothing.

import { Chart, Filler, LinearScale, LineController, LineElement, PointElement } from "chart.js";
import { linesOf, type Spot } from "./chart-lines.ts";
import { endLabels, labelRoom, minuteTicks, overs } from "./chart-marks.ts";
import type { ChartPicture } from "./chart-picture.ts";

export type TrailChart = { readonly draw: (picture: ChartPicture) => void; readonly end: () => void };

/** Below this width of the time axis every second tick is left out, px. */
const FEW_TICKS_PIXELS = 420;
const FEW_TICKS = 3;
const MANY_TICKS = 6;
/** The degree axis reaches down to here at least, so that a cool core does not look dramatic. */
const FLOOR_CELSIUS = 20;

/** Lowest and highest degree on the axis, in the reader's unit: everything drawn, floor and limit included. */
function degreeRange({ degrees, limitCelsius }: ChartPicture, lines: readonly { readonly data: readonly Spot[] }[]) {
  const all = lines.flatMap(({ data }) => data.map(({ y }) => y)).filter((value) => !Number.isNaN(value));
  const low = Math.min(...all, degrees(FLOOR_CELSIUS));
  const high = Math.max(...all, degrees(limitCelsius));
  return { min: Math.floor(low / 20) * 20, max: Math.ceil((high + 1) / 10) * 10 };
}

/** Builds the chart on `canvas`. */
export function createTrailChart(canvas: HTMLCanvasElement): TrailChart {
  let shown: ChartPicture | null = null;
  let dressed: string | null = null;
  const now = (): ChartPicture | null => shown;
  Chart.register(LineController, LineElement, PointElement, LinearScale, Filler);
  Chart.defaults.font.family = getComputedStyle(canvas).fontFamily;
  const chart = new Chart<"line", Spot[]>(canvas, {
    type: "line",
    data: { datasets: [] },
    plugins: [overs(now), endLabels(now)],
    options: {
      animation: false,
      parsing: false,
      normalized: true,
      responsive: true,
      maintainAspectRatio: false,
      events: [],
      spanGaps: false,
      scales: { x: { type: "linear" }, y: { type: "linear" } },
    },
  });

  /** Colours, font and words; only when they change, because chart.js resolves all its options anew. */
  const dress = ({ colours, words, fontPixels }: ChartPicture): void => {
    const font = { size: fontPixels };
    const common = {
      type: "linear",
      border: { color: colours.ink },
      grid: { color: colours.grid, tickColor: colours.ink },
    } as const;
    chart.options.layout = { padding: { right: labelRoom(words, fontPixels), top: 6 } };
    chart.options.scales = {
      x: {
        ...common,
        ticks: {
          color: colours.ink,
          font,
          maxRotation: 0,
          callback: (value) => shown?.words.time(Number(value)) ?? "",
        },
        afterBuildTicks: (scale) => {
          if (shown !== null) scale.ticks = minuteTicks(shown, scale.width < FEW_TICKS_PIXELS ? FEW_TICKS : MANY_TICKS);
        },
      },
      y: { ...common, ticks: { color: colours.ink, font, maxTicksLimit: 7 } },
    };
  };

  return {
    draw: (picture) => {
      shown = picture;
      const attire = JSON.stringify([picture.colours, picture.fontPixels, picture.words.limit]);
      if (attire !== dressed) dress(picture);
      dressed = attire;
      const lines = linesOf(picture);
      lines.forEach((line, index) => {
        const kept = chart.data.datasets[index];
        if (kept === undefined) chart.data.datasets.push(line);
        else Object.assign(kept, line);
      });
      const { x, y } = chart.options.scales ?? {};
      if (x !== undefined) Object.assign(x, { min: picture.nowSeconds - picture.spanSeconds, max: picture.nowSeconds });
      if (y !== undefined) Object.assign(y, degreeRange(picture, lines));
      chart.update("none");
    },
    end: () => chart.destroy(),
  };
}
