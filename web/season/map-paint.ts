// Paints the season's hours on a canvas in the heat scale of the drawing. Days run across, or down where the screen is
// narrow. It paints; where the reader points is somebody else's.

import { heatColour, heatPosition } from "../heat-scale.ts";
import type { Look } from "../preferences.ts";
import { HOURS_A_DAY, type SeasonGrid } from "./calendar.ts";

export type MapShape = {
  /** True where days run downward. */
  readonly upright: boolean;
  readonly dayPixels: number;
  readonly hourPixels: number;
  readonly width: number;
  readonly height: number;
};

/** Below this width days run downward. */
const NARROW_PIXELS = 620;

/** The map's shape for so many days in `width` pixels. */
export function shapeOf(days: number, width: number): MapShape {
  if (width < NARROW_PIXELS) {
    const dayPixels = Math.min(14, Math.max(3, Math.floor(720 / Math.max(1, days))));
    return { upright: true, dayPixels, hourPixels: width / HOURS_A_DAY, width, height: days * dayPixels };
  }
  const dayPixels = Math.min(28, width / Math.max(1, days));
  const hourPixels = Math.min(13, Math.max(8, Math.round(width / 130)));
  return { upright: false, dayPixels, hourPixels, width: days * dayPixels, height: HOURS_A_DAY * hourPixels };
}

/** Left, top, width and height of a cell, px. */
export function boxOf(
  index: number,
  { upright, dayPixels, hourPixels }: MapShape,
): readonly [number, number, number, number] {
  const [day, hour] = [Math.floor(index / HOURS_A_DAY), index % HOURS_A_DAY];
  return upright
    ? [hour * hourPixels, day * dayPixels, hourPixels, dayPixels]
    : [day * dayPixels, hour * hourPixels, dayPixels, hourPixels];
}

/** The cell at a place, clamped to the map. */
export function cellAt(x: number, y: number, days: number, { upright, dayPixels, hourPixels }: MapShape): number {
  const [along, across] = upright ? [y, x] : [x, y];
  const day = Math.min(days - 1, Math.max(0, Math.floor(along / dayPixels)));
  const hour = Math.min(HOURS_A_DAY - 1, Math.max(0, Math.floor(across / hourPixels)));
  return day * HOURS_A_DAY + hour;
}

export function paintMap(
  canvas: HTMLCanvasElement,
  grid: SeasonGrid,
  shape: MapShape,
  limitCelsius: number,
  look: Look,
): void {
  const dense = devicePixelRatio || 1;
  canvas.width = Math.round(shape.width * dense);
  canvas.height = Math.round(shape.height * dense);
  const context = canvas.getContext("2d");
  if (context === null) return;
  // One colour per whole degree: thousands of cells share a hundred colours.
  const colours = new Map<number, string>();
  const colourAt = (celsius: number): string => {
    const degree = Math.round(celsius);
    const known = colours.get(degree) ?? heatColour(heatPosition(degree, limitCelsius), look);
    colours.set(degree, known);
    return known;
  };
  for (const [index, cell] of grid.cells.entries()) {
    if (cell === null || cell.peak_core_celsius === null) continue;
    const [left, top, width, height] = boxOf(index, shape).map((pixels) => pixels * dense) as [
      number,
      number,
      number,
      number,
    ];
    context.fillStyle = colourAt(cell.peak_core_celsius);
    // Whole device pixels, or hairs of paper show between the cells.
    const [x, y] = [Math.round(left), Math.round(top)];
    context.fillRect(x, y, Math.round(left + width) - x, Math.round(top + height) - y);
  }
}
