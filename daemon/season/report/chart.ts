// Charts for paper as SVG text: axes with round numbers, lines, bands of least to greatest, a heat map. Pure; colours stay apart in
// grey too, and every chart says in words what it shows.

/** Points of one line; a gap in time longer than `gapSeconds` breaks it. */
export type Line = {
  readonly name: string;
  readonly points: readonly (readonly [seconds: number, value: number])[];
  readonly colour: string;
  readonly dots?: boolean;
};

export type ChartSpec = {
  readonly title: string;
  readonly unit: string;
  readonly fromSeconds: number;
  readonly toSeconds: number;
  readonly utcOffsetSeconds: number;
  readonly lines: readonly Line[];
  /** Horizontal lines with a name, e.g. the limit. */
  readonly marks: readonly { readonly name: string; readonly value: number }[];
  /** Vertical lines with a name, e.g. a new fan. */
  readonly events: readonly { readonly name: string; readonly seconds: number }[];
  readonly gapSeconds: number;
  /** Height in a width of 720. */
  readonly height: number;
};

const WIDTH = 720;
const LEFT = 52;
const RIGHT = 12;
const TOP = 14;
const BOTTOM = 34;
const DAY = 86_400;

export const markup = (text: string): string =>
  text.replaceAll("&", "&amp;").replaceAll("<", "&lt;").replaceAll(">", "&gt;").replaceAll('"', "&quot;");

/** A time chart; a chart without a value says so. */
export function timeChart(spec: ChartSpec): string {
  const values = spec.lines.flatMap(({ points }) => points.map(([, value]) => value));
  if (values.length === 0) return `<p class="none">${markup(spec.title)}: nothing is known.</p>`;
  const [low, high] = [...values, ...spec.marks.map(({ value }) => value)].reduce(
    ([least, most], value) => [Math.min(least, value), Math.max(most, value)],
    [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY],
  );
  const ticks = niceTicks(low, high, 5);
  const [bottom, top] = [Math.min(low, ticks[0]!), Math.max(high, ticks.at(-1)!)];
  const x = (seconds: number): number =>
    LEFT + ((seconds - spec.fromSeconds) / (spec.toSeconds - spec.fromSeconds)) * (WIDTH - LEFT - RIGHT);
  const y = (value: number): number =>
    spec.height - BOTTOM - ((value - bottom) / (top - bottom || 1)) * (spec.height - TOP - BOTTOM);
  const step = ticks.length > 1 ? ticks[1]! - ticks[0]! : 1;
  const parts = [
    ...ticks.map(
      (tick) =>
        `<line class="grid" x1="${LEFT}" x2="${WIDTH - RIGHT}" y1="${at(y(tick))}" y2="${at(y(tick))}"/>` +
        `<text class="tick" x="${LEFT - 6}" y="${at(y(tick) + 3.5)}" text-anchor="end">${label(tick, step)}</text>`,
    ),
    ...dateTicks(spec.fromSeconds, spec.toSeconds, spec.utcOffsetSeconds).map(
      ({ seconds, text }) =>
        `<line class="grid" x1="${at(x(seconds))}" x2="${at(x(seconds))}" y1="${TOP}" y2="${spec.height - BOTTOM}"/>` +
        `<text class="tick" x="${at(x(seconds))}" y="${spec.height - BOTTOM + 14}" text-anchor="middle">${text}</text>`,
    ),
    ...spec.events.map(
      ({ name, seconds }) =>
        `<line class="event" x1="${at(x(seconds))}" x2="${at(x(seconds))}" y1="${TOP}" y2="${spec.height - BOTTOM}">` +
        `<title>${markup(name)}</title></line>`,
    ),
    ...spec.marks.map(
      ({ name, value }) =>
        `<line class="mark" x1="${LEFT}" x2="${WIDTH - RIGHT}" y1="${at(y(value))}" y2="${at(y(value))}"/>` +
        `<text class="tick" x="${WIDTH - RIGHT}" y="${at(y(value) - 4)}" text-anchor="end">${markup(name)}</text>`,
    ),
    ...spec.lines.map((line) => drawn(line, spec.gapSeconds, x, y)),
  ];
  const legend = spec.lines
    .map(
      ({ name, colour, dots }) =>
        `<span style="--c:${colour}" class="${dots === true ? "dot" : "dash"}">${markup(name)}</span>`,
    )
    .join("");
  const said = `${spec.title}, from ${label(low, step)} to ${label(high, step)} ${spec.unit}`;
  return (
    `<figure><figcaption>${markup(spec.title)}${spec.unit === "" ? "" : `, ${markup(spec.unit)}`} <span class="legend">${legend}</span></figcaption>` +
    `<svg viewBox="0 0 ${WIDTH} ${spec.height}" role="img" aria-label="${markup(said)}">${parts.join("")}</svg></figure>`
  );
}

function drawn(
  { points, colour, dots }: Line,
  gapSeconds: number,
  x: (s: number) => number,
  y: (v: number) => number,
): string {
  if (dots === true) {
    return points
      .map(([seconds, value]) => `<circle cx="${at(x(seconds))}" cy="${at(y(value))}" r="1.7" fill="${colour}"/>`)
      .join("");
  }
  let path = "";
  let before: number | null = null;
  for (const [seconds, value] of points) {
    path += `${before === null || seconds - before > gapSeconds ? "M" : "L"}${at(x(seconds))} ${at(y(value))}`;
    before = seconds;
  }
  return `<path d="${path}" fill="none" stroke="${colour}" stroke-width="1.4" stroke-linejoin="round"/>`;
}

export type HeatCell = { readonly column: number; readonly row: number; readonly value: number };

/** Days across, hours down; darker is hotter, so that it reads in black and white too. */
export function heatMap(
  title: string,
  unit: string,
  columns: number,
  cells: readonly HeatCell[],
  columnLabels: readonly { readonly column: number; readonly text: string }[],
): string {
  if (cells.length === 0) return "";
  const width = (WIDTH - LEFT - RIGHT) / columns;
  const height = 7;
  const low = Math.min(...cells.map(({ value }) => value));
  const high = Math.max(...cells.map(({ value }) => value));
  const bottom = TOP + 24 * height;
  const drawnCells = cells.map(({ column, row, value }) => {
    const share = high === low ? 0 : (value - low) / (high - low);
    return `<rect x="${at(LEFT + column * width)}" y="${TOP + row * height}" width="${at(width + 0.15)}" height="${height + 0.15}" fill="${heat(share)}"/>`;
  });
  const rows = [0, 6, 12, 18].map(
    (hour) =>
      `<text class="tick" x="${LEFT - 6}" y="${TOP + hour * height + 7}" text-anchor="end">${String(hour).padStart(2, "0")} h</text>`,
  );
  const labels = columnLabels.map(
    ({ column, text }) =>
      `<text class="tick" x="${at(LEFT + column * width)}" y="${bottom + 13}">${markup(text)}</text>`,
  );
  const key = [0, 0.25, 0.5, 0.75, 1].map(
    (share) => `<span class="key" style="--c:${heat(share)}">${(low + share * (high - low)).toFixed(0)}</span>`,
  );
  return (
    `<figure><figcaption>${markup(title)}, ${markup(unit)} <span class="legend">${key.join("")}</span></figcaption>` +
    `<svg viewBox="0 0 ${WIDTH} ${bottom + 20}" role="img" aria-label="${markup(`${title}, from ${low.toFixed(0)} to ${high.toFixed(0)} ${unit}`)}">` +
    `${drawnCells.join("")}${rows.join("")}${labels.join("")}</svg></figure>`
  );
}

/** Lightness falls all the way from pale straw to dark ember. */
function heat(share: number): string {
  const hue = 52 - 46 * share;
  return `hsl(${hue.toFixed(0)} ${(70 + 15 * share).toFixed(0)}% ${(93 - 68 * share).toFixed(0)}%)`;
}

/** Round numbers from at or below `low` to at or above `high`. */
function niceTicks(low: number, high: number, wanted: number): number[] {
  const span = high - low || Math.abs(high) || 1;
  const raw = span / wanted;
  const power = 10 ** Math.floor(Math.log10(raw));
  const step = [1, 2, 2.5, 5, 10].map((factor) => factor * power).find((candidate) => candidate >= raw) ?? 10 * power;
  const first = Math.floor(low / step);
  const count = Math.ceil(high / step) - first;
  return Array.from({ length: Math.max(2, count + 1) }, (_, index) => Number(((first + index) * step).toPrecision(12)));
}

const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/** Days or months, at most about ten. */
export function dateTicks(
  fromSeconds: number,
  toSeconds: number,
  utcOffsetSeconds: number,
): { seconds: number; text: string }[] {
  const days = (toSeconds - fromSeconds) / DAY;
  const ticks: { seconds: number; text: string }[] = [];
  const first = Math.ceil((fromSeconds + utcOffsetSeconds) / DAY);
  const last = Math.floor((toSeconds + utcOffsetSeconds) / DAY);
  const stride = Math.max(1, Math.ceil(days / 10));
  for (let day = first; day <= last; day += 1) {
    const date = new Date(day * DAY * 1000);
    const shown = days > 70 ? date.getUTCDate() === 1 : (day - first) % stride === 0;
    if (!shown) continue;
    const month = MONTHS[date.getUTCMonth()]!;
    ticks.push({ seconds: day * DAY - utcOffsetSeconds, text: days > 70 ? month : `${date.getUTCDate()} ${month}` });
  }
  return ticks;
}

const at = (value: number): string => String(Math.round(value * 10) / 10);

/** As many decimals as it takes to tell two ticks apart. */
function label(value: number, step: number): string {
  let decimals = 0;
  while (decimals < 6 && Math.abs(step * 10 ** decimals - Math.round(step * 10 ** decimals)) > 1e-6) decimals += 1;
  return value.toFixed(decimals);
}
