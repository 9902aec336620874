// Core and upper bound against drive, as a drawing with its table twin. It draws what it is given.

import type { Figures } from "../figures.ts";
import { joined } from "../figures.ts";
import { rating as words } from "../strings/rating.ts";
import type { CurvePoint } from "./question.ts";

const WIDTH = 640;
const HEIGHT = 300;
const [LEFT, RIGHT, TOP, BOTTOM] = [96, 14, 14, 34];

type CurveProps = {
  readonly points: readonly CurvePoint[];
  readonly airCelsius: number;
  readonly limitCelsius: number;
  readonly figures: Figures;
  readonly title: string;
  readonly text: string;
};

export function Curve({ points, airCelsius, limitCelsius, figures, title, text }: CurveProps) {
  const most = points.at(-1)?.driveWatts ?? 1;
  const low = Math.floor(Math.min(airCelsius, 20) / 20) * 20;
  const high = Math.ceil((limitCelsius + 25) / 20) * 20;
  const x = (watts: number): number => LEFT + (watts / most) * (WIDTH - LEFT - RIGHT);
  const y = (celsius: number): number => HEIGHT - BOTTOM - ((celsius - low) / (high - low)) * (HEIGHT - TOP - BOTTOM);
  const settled = points.flatMap(({ driveWatts, settled: at }) => (at === null ? [] : [{ driveWatts, ...at }]));
  const line = (of: (point: (typeof settled)[number]) => number): string =>
    settled
      .filter((point) => of(point) <= high)
      .map((point, index) => `${index === 0 ? "M" : "L"}${x(point.driveWatts).toFixed(1)} ${y(of(point)).toFixed(1)}`)
      .join("");
  const ticks = Array.from({ length: (high - low) / 20 + 1 }, (_, index) => low + 20 * index);
  const wattTicks = Array.from({ length: 4 }, (_, index) => (most * index) / 3);
  const degrees = (celsius: number): string => joined(figures.temperature(celsius, 0));
  return (
    <section class="rating-curve">
      <h2>{title}</h2>
      <svg viewBox={`0 0 ${WIDTH} ${HEIGHT}`} role="img" aria-label={`${title}. ${text}`}>
        {ticks.map((celsius) => (
          <g key={celsius}>
            <path class="curve-rule" d={`M${LEFT} ${y(celsius)}H${WIDTH - RIGHT}`} />
            <text x={LEFT - 6} y={y(celsius)} class="curve-end">
              {degrees(celsius)}
            </text>
          </g>
        ))}
        {wattTicks.map((watts) => (
          <text key={watts} x={x(watts)} y={HEIGHT - 12} class={watts === most ? "curve-end" : "curve-middle"}>
            {joined(figures.power(watts))}
          </text>
        ))}
        <path class="curve-limit" d={`M${LEFT} ${y(limitCelsius)}H${WIDTH - RIGHT}`} />
        <text x={LEFT + 8} y={y(limitCelsius) - 9} class="curve-limit-name">
          {words.limit(degrees(limitCelsius))}
        </text>
        <path class="curve-upper" d={line((point) => point.upperCelsius)} />
        <path class="curve-core" d={line((point) => point.coreCelsius)} />
      </svg>
      <p class="curve-key">
        <svg viewBox="0 0 30 8" aria-hidden="true">
          <path class="curve-core" d="M1 4H29" />
        </svg>
        {words.core}
        <svg viewBox="0 0 30 8" aria-hidden="true">
          <path class="curve-upper" d="M1 4H29" />
        </svg>
        {words.upper}
      </p>
      <p class="note">{text}</p>
      <details>
        <summary>{words.curveTable}</summary>
        <table class="table-twin">
          <thead>
            <tr>
              <th scope="col">{words.drive}</th>
              <th scope="col">{words.core}</th>
              <th scope="col">{words.upper}</th>
            </tr>
          </thead>
          <tbody>
            {points
              .filter((_, index) => index % 3 === 0)
              .map(({ driveWatts, settled: at }) => (
                <tr key={driveWatts}>
                  <th scope="row">{joined(figures.power(driveWatts))}</th>
                  <td>{at === null ? words.runsAway : degrees(at.coreCelsius)}</td>
                  <td>{at === null ? "–" : degrees(at.upperCelsius)}</td>
                </tr>
              ))}
          </tbody>
        </table>
      </details>
    </section>
  );
}
