// The chart of the last half hour on chart.js: built once and kept for the life of the page; only data and colours change.
// Loaded after the first paint. It draws extremes as they come and smooths nothing.

import {
  Chart,
  type ChartDataset,
  Filler,
  LinearScale,
  LineController,
  LineElement,
  type Plugin,
  PointElement,
} from "chart.js";
import { type Extremes, operating, type Trail, transmissions } from "../trail.ts";

Chart.register(LineController, LineElement, PointElement, LinearScale, Filler);

/** Colours as CSS writes them, read from the page's custom properties. */
export type ChartColours = {
  readonly core: string;
  readonly band: string;
  readonly outlet: string;
  readonly inlet: string;
  readonly limit: string;
  readonly ink: string;
  readonly grid: string;
  readonly over: string;
  readonly keyed: string;
  readonly paper: string;
};

export type ChartWords = {
  readonly core: string;
  readonly upper: string;
  readonly outlet: string;
  readonly inlet: string;
  readonly limit: string;
  /** Text under the time axis at `atSeconds` of the daemon's clock. */
  readonly time: (atSeconds: number) => string;
};

export type ChartPicture = {
  readonly trail: Trail;
  readonly nowSeconds: number;
  /** Length of the time axis, s. */
  readonly spanSeconds: number;
  /** A second at which a tick may stand: a full minute of the wall clock. */
  readonly tickPhaseSeconds: number;
  readonly limitCelsius: number;
  /** Celsius to the reader's degrees. */
  readonly degrees: (celsius: number) => number;
  readonly colours: ChartColours;
  readonly words: ChartWords;
  readonly fontPixels: number;
};

export type TrailChart = { readonly draw: (picture: ChartPicture) => void; readonly end: () => void };

type Spot = { x: number; y: number };
/** A hole longer than this is drawn as one, s. */
const HOLE_SECONDS = 20;

/** Lowest and highest of each bucket as two points, in the order that keeps the line short; holes break the line. */
function points(extremes: readonly Extremes[], degrees: (celsius: number) => number, pick: "both" | "high"): Spot[] {
  const spots: Spot[] = [];
  let before: Extremes | null = null;
  for (const bucket of extremes) {
    const [at, low, high] = bucket;
    if (before !== null && at - before[0] > HOLE_SECONDS) spots.push({ x: before[0] + 1, y: Number.NaN });
    const rising = before === null || low + high >= before[1] + before[2];
    const ordered = pick === "high" ? [high] : low === high ? [low] : rising ? [low, high] : [high, low];
    for (const value of ordered) spots.push({ x: at, y: degrees(value) });
    before = bucket;
  }
  return spots;
}

/** Shades the operating behind everything else, with each over along the foot. */
const overs: Plugin<"line"> = {
  id: "overs",
  beforeDatasetsDraw(chart) {
    const picture = pictures.get(chart);
    const { x } = chart.scales;
    if (picture === undefined || x === undefined) return;
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
};

/** Names written at the line's own end instead of a legend to look up; pushed apart where they would overlap. */
const endLabels: Plugin<"line"> = {
  id: "endLabels",
  afterDatasetsDraw(chart) {
    const picture = pictures.get(chart);
    const { y } = chart.scales;
    if (picture === undefined || y === undefined) return;
    const { ctx, chartArea } = chart;
    const height = picture.fontPixels * 1.25;
    const labels = chart.data.datasets
      .flatMap((dataset) => {
        const last = (dataset.data as Spot[]).at(-1);
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
};

/** What each living chart shows; the entry goes with its chart. */
const pictures = new WeakMap<Chart, ChartPicture>();

function datasets({
  trail,
  degrees,
  colours,
  words,
  limitCelsius,
  nowSeconds,
  spanSeconds,
}: ChartPicture): ChartDataset<"line", Spot[]>[] {
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
    line(words.upper, points(trail.core_upper_celsius, degrees, "high"), colours.core, {
      borderWidth: 1,
      borderDash: [2, 3],
      fill: "+1",
      backgroundColor: colours.band,
    }),
    line(words.core, points(trail.core_celsius, degrees, "both"), colours.core, { borderWidth: 2.5 }),
    line(words.outlet, points(trail.outlet_celsius, degrees, "both"), colours.outlet, {}),
    line(words.inlet, points(trail.inlet_celsius, degrees, "both"), colours.inlet, { borderDash: [7, 4] }),
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

/** Ticks on full minutes of the wall clock, `most` of them or a few fewer. */
function minuteTicks({ nowSeconds, spanSeconds, tickPhaseSeconds }: ChartPicture, most: number): { value: number }[] {
  const every = [60, 120, 300, 600].find((step) => spanSeconds / step <= most) ?? 900;
  const first = nowSeconds - spanSeconds;
  const start = first + ((((tickPhaseSeconds - first) % every) + every) % every);
  const count = Math.floor((nowSeconds - start) / every) + 1;
  return Array.from({ length: count }, (_, index) => ({ value: start + index * every }));
}

function labelRoom(words: ChartWords, fontPixels: number): number {
  const longest = Math.max(
    ...[words.core, words.upper, words.outlet, words.inlet, words.limit].map((text) => text.length),
  );
  return Math.ceil(longest * fontPixels * 0.6) + 10;
}

/** Builds the chart on `canvas`. */
export function createTrailChart(canvas: HTMLCanvasElement): TrailChart {
  Chart.defaults.font.family = getComputedStyle(canvas).fontFamily;
  const chart = new Chart<"line", Spot[]>(canvas, {
    type: "line",
    data: { datasets: [] },
    plugins: [overs, endLabels],
    options: {
      animation: false,
      parsing: false,
      normalized: true,
      responsive: true,
      maintainAspectRatio: false,
      events: [],
      spanGaps: false,
      elements: { line: { tension: 0 } },
      scales: {
        x: { type: "linear", bounds: "data" },
        y: { type: "linear" },
      },
    },
  });
  let dressed: string | null = null;

  const dress = (picture: ChartPicture): void => {
    const { colours, words, fontPixels } = picture;
    const font = { size: fontPixels };
    chart.options.layout = { padding: { right: labelRoom(words, fontPixels), top: 6 } };
    chart.options.scales = {
      x: {
        type: "linear",
        border: { color: colours.ink },
        grid: { color: colours.grid, tickColor: colours.ink },
        ticks: {
          color: colours.ink,
          font,
          maxRotation: 0,
          callback: (value) => pictures.get(chart)?.words.time(Number(value)),
        },
        afterBuildTicks: (scale) => {
          const shown = pictures.get(chart);
          if (shown === undefined) return;
          scale.ticks = minuteTicks(shown, scale.width < 420 ? 3 : 6);
        },
      },
      y: {
        type: "linear",
        border: { color: colours.ink },
        grid: { color: colours.grid, tickColor: colours.ink },
        ticks: { color: colours.ink, font, maxTicksLimit: 7 },
      },
    };
  };

  return {
    draw: (picture) => {
      pictures.set(chart, picture);
      const attire = JSON.stringify([picture.colours, picture.fontPixels, picture.words.limit]);
      if (attire !== dressed) dress(picture);
      dressed = attire;
      const next = datasets(picture);
      next.forEach((dataset, index) => {
        const shown = chart.data.datasets[index];
        if (shown === undefined) chart.data.datasets.push(dataset);
        else Object.assign(shown, dataset);
      });
      const { x, y } = chart.options.scales ?? {};
      if (x !== undefined) Object.assign(x, { min: picture.nowSeconds - picture.spanSeconds, max: picture.nowSeconds });
      if (y !== undefined) {
        const limit = picture.degrees(picture.limitCelsius);
        const all = next
          .flatMap(({ data }) => data.map(({ y: value }) => value))
          .filter((value) => !Number.isNaN(value));
        const low = Math.min(...all, picture.degrees(20));
        const high = Math.max(...all, limit);
        Object.assign(y, { min: Math.floor(low / 20) * 20, max: Math.ceil((high + 1) / 10) * 10 });
      }
      chart.update("none");
    },
    end: () => {
      pictures.delete(chart);
      chart.destroy();
    },
  };
}
