// One wear quantity: its name, what its trend says, and its chart of daily values with slope, steps and notes. It computes
// no statistics; they come with the review.

import type { SeasonNote, Wear } from "../../daemon/wire/season.ts";
import type { Figures } from "../figures.ts";
import { seasonStrings } from "../strings/season.ts";
import { dayTicks } from "./day-ticks.ts";
import { Plot, type Scales } from "./plot.tsx";
import { unitText, writeSlope, writeTick, writeValue } from "./quantity.ts";
import { Scroll } from "./scroll.tsx";
import type { Span } from "./span.ts";

const words = seasonStrings.wear;
const MONTH_SECONDS = 30.44 * 86_400;
const HEIGHT = 178;
/** An alarm so near is set apart, in words that are bolder too. */
const SOON_DAYS = 183;
export const SHORTEST_SECONDS = 6 * 86_400;

export type NumberedNote = SeasonNote & { readonly number: number };

type WearPanelProps = {
  readonly wear: Wear;
  readonly notes: readonly NumberedNote[];
  readonly span: Span;
  readonly whole: Span;
  readonly offsetSeconds: number;
  readonly figures: Figures;
  readonly onSpan: (span: Span) => void;
};

/** What the trend says, in words and numbers. */
function verdictOf(wear: Wear, figures: Figures): string {
  const { trend, days_to_alarm } = wear;
  if (trend === null) return words.young;
  if (!trend.significant) return words.steady;
  const [slope, doubt] = [Math.abs(trend.slope_per_month), trend.slope_uncertainty_per_month].map((value) =>
    writeSlope(wear, value, figures),
  ) as [string, string];
  const pace = trend.slope_per_month > 0 ? words.rising(slope, doubt) : words.falling(slope, doubt);
  return days_to_alarm === null ? pace : `${pace}; ${words.reaches(figures.days(days_to_alarm))}`;
}

/** Lowest and highest on the axis: the values shown, and the alarm where it is not far away. */
function rangeOf({ points, alarm_value }: Wear, span: Span): readonly [number, number] {
  const shown = points.filter(([at]) => at >= span.from && at <= span.to).map(([, value]) => value);
  const values = shown.length === 0 ? points.map(([, value]) => value) : shown;
  let [low, high] = [Math.min(...values), Math.max(...values)];
  const room = Math.max((high - low) * 0.15, Math.abs(high) * 0.005, 1e-3);
  if (
    alarm_value !== null &&
    Math.min(Math.abs(alarm_value - low), Math.abs(alarm_value - high)) < (high - low) * 2.5
  ) {
    [low, high] = [Math.min(low, alarm_value), Math.max(high, alarm_value)];
  }
  return [low - room, high + room];
}

/** The robust line over its days, with its doubt as a band that opens towards the past. */
function trendPaths(wear: Wear, { x, y }: Scales): { readonly line: string; readonly band: string } | null {
  const { trend } = wear;
  if (trend === null || !trend.significant) return null;
  const { from_seconds: from, to_seconds: to, value_now: now, slope_per_month, slope_uncertainty_per_month } = trend;
  const months = (to - from) / MONTH_SECONDS;
  const start = now - slope_per_month * months;
  const doubt = 2 * slope_uncertainty_per_month * months;
  const at = (seconds: number, value: number): string => `${x(seconds).toFixed(1)} ${y(value).toFixed(1)}`;
  return {
    line: `M${at(from, start)}L${at(to, now)}`,
    band: `M${at(from, start - doubt)}L${at(to, now)}L${at(from, start + doubt)}Z`,
  };
}

function Marks({
  wear,
  notes,
  scales,
  figures,
}: Pick<WearPanelProps, "wear" | "notes" | "figures"> & { readonly scales: Scales }) {
  const { x, y, left, right, top, bottom } = scales;
  const trend = trendPaths(wear, scales);
  const shown = (seconds: number): boolean => x(seconds) >= left && x(seconds) <= right;
  const { alarm_value: alarm } = wear;
  return (
    <>
      {alarm !== null && y(alarm) >= top && y(alarm) <= bottom && (
        <>
          <line class="plot-alarm" x1={left} x2={right} y1={y(alarm)} y2={y(alarm)} />
          <text class="plot-alarm-name" x={right - 4} y={y(alarm) + (y(alarm) < top + 14 ? 13 : -5)}>
            {words.alarm(writeValue(wear, alarm, figures))}
          </text>
        </>
      )}
      {trend !== null && <path class="plot-doubt" d={trend.band} />}
      {wear.points.map(([at, value]) =>
        shown(at) ? <circle key={at} class="plot-point" cx={x(at)} cy={y(value)} r={2.1} /> : null,
      )}
      {trend !== null && <path class="plot-trend" d={trend.line} />}
      {wear.steps.map(({ at_seconds: at }) => (
        <line key={at} class="plot-step" x1={x(at)} x2={x(at)} y1={top} y2={bottom} />
      ))}
      {notes
        .filter(({ at_seconds }) => shown(at_seconds))
        .map(({ number, at_seconds }) => (
          <g key={number} class="plot-note">
            <line x1={x(at_seconds)} x2={x(at_seconds)} y1={top - 4} y2={top + 3} />
            <text x={x(at_seconds)} y={top - 7}>
              {number}
            </text>
          </g>
        ))}
    </>
  );
}

export function WearPanel({ wear, notes, span, whole, offsetSeconds, figures, onSpan }: WearPanelProps) {
  const now = wear.trend?.value_now ?? wear.points.at(-1)?.[1] ?? Number.NaN;
  const value = writeValue(wear, now, figures);
  const day = (seconds: number): string => figures.day(seconds + offsetSeconds);
  return (
    <article class={`wear${(wear.days_to_alarm ?? Number.POSITIVE_INFINITY) < SOON_DAYS ? " wear-nearing" : ""}`}>
      <h3>
        {wear.name} <b>{value}</b>
      </h3>
      <p class="wear-verdict">{verdictOf(wear, figures)}</p>
      <Plot
        label={`${words.chart(wear.name, wear.points.length)} ${verdictOf(wear, figures)}`}
        height={HEIGHT}
        span={span}
        whole={whole}
        shortest={SHORTEST_SECONDS}
        values={rangeOf(wear, span)}
        ticksOf={dayTicks(figures, offsetSeconds)}
        valueText={(at) => writeTick(wear, at, figures)}
        onSpan={onSpan}
      >
        {(scales) => <Marks wear={wear} notes={notes} scales={scales} figures={figures} />}
      </Plot>
      {wear.steps.map(({ at_seconds, before, after, attributed_to }) => (
        <p class="wear-step" key={at_seconds}>
          {words.step(writeValue(wear, before, figures), writeValue(wear, after, figures), day(at_seconds))}
          {attributed_to === null ? words.noReason : words.why(attributed_to)}
        </p>
      ))}
      <details>
        <summary>{words.table}</summary>
        <Scroll label={wear.name}>
          <table>
            <thead>
              <tr>
                <th scope="col">{words.day}</th>
                <th scope="col">{unitText(wear.unit) || words.value}</th>
              </tr>
            </thead>
            <tbody>
              {wear.points
                .filter(([at]) => at >= span.from && at <= span.to)
                .map(([at, point]) => (
                  <tr key={at}>
                    <th scope="row">{day(at)}</th>
                    <td>{writeValue({ unit: wear.unit }, point, figures)}</td>
                  </tr>
                ))}
            </tbody>
          </table>
        </Scroll>
      </details>
    </article>
  );
}
