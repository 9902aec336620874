// The season hour by hour: map, a cursor for pointer and keys with its readout in words, and a table twin. It judges nothing.

import { useSignal } from "@preact/signals";
import { useEffect, useMemo, useRef } from "preact/hooks";
import type { SeasonReview } from "../../daemon/wire/season.ts";
import { type Figures, joined } from "../figures.ts";
import { heatColour, heatDomainCelsius, heatPosition } from "../heat-scale.ts";
import type { Look } from "../preferences.ts";
import { seasonStrings } from "../strings/season.ts";
import { DAY_SECONDS, gridOf, HOURS_A_DAY, type SeasonGrid } from "./calendar.ts";
import { HourTable } from "./hour-table.tsx";
import { Axes, Events } from "./map-margin.tsx";
import { boxOf, cellAt, paintMap, shapeOf } from "./map-paint.ts";
import type { NumberedNote } from "./wear-panel.tsx";
import { useWidth } from "./width.ts";

const words = seasonStrings.map;
const MONTH_DAYS = 30;
const KEYS: { readonly [key: string]: readonly [days: number, hours: number] } = {
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  PageUp: [-MONTH_DAYS, 0],
  PageDown: [MONTH_DAYS, 0],
};

/** What the cursor's hour amounts to, in one line. */
function readoutOf(grid: SeasonGrid, index: number, figures: Figures): string {
  const hour = index % HOURS_A_DAY;
  const day = figures.day((grid.firstDay + Math.floor(index / HOURS_A_DAY)) * DAY_SECONDS, true);
  const clock = (at: number): string => `${String(at).padStart(2, "0")}:00`;
  const when = words.cell(day, `${clock(hour)}–${clock(hour + 1)}`);
  const cell = grid.cells[index] ?? null;
  if (cell === null) return `${when}: ${words.unknown}.`;
  const core =
    cell.peak_core_celsius === null ? words.noCore : words.peak(joined(figures.temperature(cell.peak_core_celsius)));
  const air =
    cell.transmitting_seconds === 0
      ? words.silent
      : words.onAir(joined(figures.hours(cell.transmitting_seconds)), joined(figures.energy(cell.heat_joules)));
  return `${when}: ${core}; ${air}.`;
}

function ScaleBar({
  look,
  limitCelsius,
  figures,
}: {
  readonly look: Look;
  readonly limitCelsius: number;
  readonly figures: Figures;
}) {
  const [low, high] = heatDomainCelsius(limitCelsius);
  const steps = 52;
  const marks = [0, 25, 50, 75].filter((celsius) => celsius < limitCelsius - 20);
  const at = (celsius: number): string => `${heatPosition(celsius, limitCelsius) * 100}%`;
  return (
    <svg class="map-scale" width="100%" height="44" aria-hidden="true">
      {Array.from({ length: steps }, (_, step) => (
        <rect
          key={step}
          x={`${(step / steps) * 100}%`}
          y="2"
          width={`${100 / steps + 0.3}%`}
          height="12"
          fill={heatColour(heatPosition(low + ((step + 0.5) / steps) * (high - low), limitCelsius), look)}
        />
      ))}
      {marks.map((celsius) => (
        <text key={celsius} class={celsius === 0 ? undefined : "plot-time"} x={at(celsius)} y="32">
          {figures.temperature(celsius, 0).number}
        </text>
      ))}
      <line class="map-limit" x1={at(limitCelsius)} x2={at(limitCelsius)} y1="0" y2="18" />
      <text class="map-limit-name" x={at(limitCelsius)} y="32">
        {`${words.limit} ${joined(figures.temperature(limitCelsius, 0))}`}
      </text>
    </svg>
  );
}

type HeatMapProps = {
  readonly review: SeasonReview;
  readonly notes: readonly NumberedNote[];
  readonly limitCelsius: number;
  readonly figures: Figures;
  readonly look: Look;
};

export function HeatMap({ review, notes, limitCelsius, figures, look }: HeatMapProps) {
  const grid = useMemo(() => gridOf(review), [review]);
  const { ref, width } = useWidth<HTMLDivElement>();
  const canvas = useRef<HTMLCanvasElement>(null);
  const shape = useMemo(() => shapeOf(grid.days, width), [grid, width]);
  const hottest = useMemo(() => {
    const peak = (index: number): number => grid.cells[index]?.peak_core_celsius ?? Number.NEGATIVE_INFINITY;
    return grid.cells.reduce((best, _, index) => (peak(index) > peak(best) ? index : best), 0);
  }, [grid]);
  const cursor = useSignal<number | null>(null);
  const shown = Math.min(cursor.value ?? hottest, Math.max(0, grid.cells.length - 1));
  useEffect(() => {
    if (canvas.current !== null && width > 0) paintMap(canvas.current, grid, shape, limitCelsius, look);
  }, [grid, shape, width, limitCelsius, look]);
  const readout = readoutOf(grid, shown, figures);
  const [left, top, wide, high] = boxOf(shown, shape);
  const onKey = (event: KeyboardEvent): void => {
    const move = KEYS[event.key];
    if (move === undefined) return;
    event.preventDefault();
    // Keys follow the eye: where days run downward, up and down are days.
    const [days, hours] = shape.upright && event.key.startsWith("Arrow") ? [move[1], move[0]] : move;
    const next = shown + days * HOURS_A_DAY + hours;
    if (next >= 0 && next < grid.cells.length) cursor.value = next;
  };
  return (
    <section class="season-map" aria-labelledby="season-map-title">
      <h2 id="season-map-title">
        {words.title} <span class="trail-unit">{words.note}</span>
      </h2>
      <div class={shape.upright ? "map-room map-upright" : "map-room"}>
        <div class="map-field" ref={ref}>
          <div
            class="map-cursor-field"
            role="slider"
            tabIndex={0}
            aria-label={words.label}
            aria-valuemin={0}
            aria-valuemax={Math.max(0, grid.cells.length - 1)}
            aria-valuenow={shown}
            aria-valuetext={readout}
            onKeyDown={onKey}
            onPointerMove={(event) => {
              const { left: x, top: y } = event.currentTarget.getBoundingClientRect();
              cursor.value = cellAt(event.clientX - x, event.clientY - y, grid.days, shape);
            }}
          >
            <canvas ref={canvas} class="map-canvas" />
            {width > 0 && (
              <svg class="map-axis" width={shape.width} height={shape.height} aria-hidden="true">
                <rect class="map-cursor-halo" x={left - 2} y={top - 2} width={wide + 4} height={high + 4} />
                <rect class="map-cursor" x={left - 2} y={top - 2} width={wide + 4} height={high + 4} />
              </svg>
            )}
          </div>
          {width > 0 && <Axes grid={grid} shape={shape} figures={figures} />}
          {width > 0 && <Events review={review} notes={notes} grid={grid} shape={shape} />}
        </div>
      </div>
      <div class="map-below">
        <p class="map-readout">{readout}</p>
        <ScaleBar look={look} limitCelsius={limitCelsius} figures={figures} />
      </div>
      <p class="note">
        {words.hint} {words.notes}
      </p>
      <HourTable grid={grid} figures={figures} />
    </section>
  );
}
