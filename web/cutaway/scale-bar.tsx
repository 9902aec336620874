// The legend of the heat scale, drawn under the box: colours, degrees, the limits, and where the core stands on it with
// its upper bound. It shows what the frame says and nothing else.

import type { Figures } from "../figures.ts";
import { heatColour, heatDomainCelsius, heatPosition } from "../heat-scale.ts";
import type { Look } from "../preferences.ts";
import { strings } from "../strings.ts";
import type { Sheet } from "./sheet.ts";

const words = strings.drawing;
const STEPS = 48;
const BAR_HEIGHT = 9;

export type ScaleBarProps = {
  readonly sheet: Sheet;
  readonly look: Look;
  readonly limitCelsius: number;
  readonly reduceCelsius: number;
  readonly coreCelsius: number | null;
  readonly upperCelsius: number | null;
};

/** Colours, marks and pointer, in sheet units. */
export function ScaleBar({ sheet, look, limitCelsius, reduceCelsius, coreCelsius, upperCelsius }: ScaleBarProps) {
  const [x, y] = sheet.scaleBar.at;
  const { width } = sheet.scaleBar;
  const placeOf = (celsius: number): number => x + width * heatPosition(celsius, limitCelsius);
  const step = width / STEPS;
  const upper = upperCelsius === null ? null : placeOf(upperCelsius);
  const core = coreCelsius === null ? null : placeOf(coreCelsius);
  return (
    <g>
      {Array.from({ length: STEPS }, (_, index) => (
        <rect
          key={x + index * step}
          x={x + index * step}
          y={y}
          width={step + 0.6}
          height={BAR_HEIGHT}
          fill={heatColour((index + 0.5) / STEPS, look)}
        />
      ))}
      <rect class="ink hair" x={x} y={y} width={width} height={BAR_HEIGHT} />
      <path class="ink" d={`M ${placeOf(limitCelsius)} ${y - 7} v ${BAR_HEIGHT + 12}`} />
      <path class="ink thin" d={`M ${placeOf(reduceCelsius)} ${y - 4} v ${BAR_HEIGHT + 6}`} />
      {core !== null && upper !== null && (
        <path class="ink" d={`M ${core} ${y - 8} H ${upper} M ${upper} ${y - 13} v 10`} />
      )}
      {core !== null && <path class="pointer" d={`M ${core} ${y - 2} l -5.5 -10 h 11 Z`} />}
    </g>
  );
}

const TICKS_CELSIUS = [0, 25, 50];

/** Degrees under the bar, in HTML. */
export function ScaleText({
  sheet,
  figures,
  limitCelsius,
  reduceCelsius,
}: {
  readonly sheet: Sheet;
  readonly figures: Figures;
  readonly limitCelsius: number;
  readonly reduceCelsius: number;
}) {
  const [x, y] = sheet.scaleBar.at;
  const [, highest] = heatDomainCelsius(limitCelsius);
  const at = (celsius: number) => ({
    left: `${((x + sheet.scaleBar.width * heatPosition(celsius, limitCelsius)) / sheet.width) * 100}%`,
    top: `${((y + BAR_HEIGHT + 5) / sheet.height) * 100}%`,
  });
  const ticks = TICKS_CELSIUS.filter((celsius) => celsius < reduceCelsius - 20 && celsius < highest);
  const written = (celsius: number): string => figures.temperature(celsius, 0).number;
  return (
    <div>
      {ticks.map((celsius) => (
        <span key={celsius} class="scale-mark" style={at(celsius)}>
          {written(celsius)}
        </span>
      ))}
      <span class="scale-mark scale-reduce" style={at(reduceCelsius)}>
        {`${words.reduce} ${written(reduceCelsius)}`}
      </span>
      <span class="scale-mark scale-limit" style={at(limitCelsius)}>
        {`${words.limit} ${written(limitCelsius)} ${figures.temperature(limitCelsius, 0).unit}`}
      </span>
    </div>
  );
}
