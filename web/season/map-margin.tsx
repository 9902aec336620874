// What stands in the margin of the season's map: months, hours of the day, notes by number, sessions as bars. It knows no colours.

import type { SeasonReview } from "../../daemon/wire/season.ts";
import type { Figures } from "../figures.ts";
import { DAY_SECONDS, dayOf, monthStarts, type SeasonGrid } from "./calendar.ts";
import type { MapShape } from "./map-paint.ts";
import type { NumberedNote } from "./wear-panel.tsx";

type AxisProps = { readonly grid: SeasonGrid; readonly shape: MapShape; readonly figures: Figures };

/** Months and hours beside the map, days across. */
export function Axes({ grid, shape, figures }: AxisProps) {
  const month = (index: number): string => figures.month((grid.firstDay + index) * DAY_SECONDS, true);
  const starts = monthStarts(grid);
  const days = starts.length > 0 ? starts : [0];
  if (shape.upright) {
    return (
      <svg class="map-axis" width={shape.width} height={shape.height} aria-hidden="true">
        {days.map((index) => (
          <g key={index}>
            <line
              class="map-month"
              x1={-40}
              x2={shape.width}
              y1={index * shape.dayPixels}
              y2={index * shape.dayPixels}
            />
            <text class="plot-value" x={-8} y={index * shape.dayPixels + 14}>
              {month(index)}
            </text>
          </g>
        ))}
        {[0, 6, 12, 18].map((hour) => (
          <text key={hour} x={hour * shape.hourPixels} y={-7}>
            {String(hour).padStart(2, "0")}
          </text>
        ))}
      </svg>
    );
  }
  return (
    <svg class="map-axis" width={shape.width} height={shape.height} aria-hidden="true">
      {days.map((index) => (
        <g key={index}>
          <line
            class="map-month"
            x1={index * shape.dayPixels}
            x2={index * shape.dayPixels}
            y1={0}
            y2={shape.height + 6}
          />
          <text x={index * shape.dayPixels + 4} y={shape.height + 18}>
            {month(index)}
          </text>
        </g>
      ))}
      {[0, 6, 12, 18].map((hour) => (
        <text key={hour} class="plot-value" x={-8} y={hour * shape.hourPixels + 11}>
          {String(hour).padStart(2, "0")}
        </text>
      ))}
    </svg>
  );
}

type EventsProps = {
  readonly review: SeasonReview;
  readonly notes: readonly NumberedNote[];
  readonly grid: SeasonGrid;
  readonly shape: MapShape;
};

/** Notes by number and sessions as bars; above the map, or right of it where days run down. */
export function Events({ review, notes, grid, shape }: EventsProps) {
  const along = (seconds: number): number =>
    ((seconds + grid.offsetSeconds) / DAY_SECONDS - grid.firstDay) * shape.dayPixels;
  const dayMiddle = (seconds: number): number =>
    (dayOf(seconds, grid.offsetSeconds) - grid.firstDay + 0.5) * shape.dayPixels;
  return (
    <svg class="map-axis" width={shape.width} height={shape.height} aria-hidden="true">
      {review.sessions.map(({ id, from_seconds: from, to_seconds: to }) => {
        const [start, length] = [along(from), Math.max(3, along(to) - along(from))];
        return shape.upright ? (
          <rect key={id} class="map-session" x={shape.width + 3} y={start} width={4} height={length} />
        ) : (
          <rect key={id} class="map-session" x={start} y={-7} width={length} height={4} />
        );
      })}
      {notes.map(({ number, at_seconds }) => (
        <text
          key={number}
          class="map-note"
          x={shape.upright ? shape.width + 16 : dayMiddle(at_seconds)}
          y={shape.upright ? dayMiddle(at_seconds) + 4 : -11}
        >
          {number}
        </text>
      ))}
    </svg>
  );
}
