// One plot over time as SVG text: lines and points in a frame with ruled axes. It knows numbers and colours, no heat.

/** A line (points in order; null breaks it) or single points. */
export type Series = {
  readonly name: string;
  readonly colour: string;
  readonly kind: "line" | "points";
  readonly values: readonly { readonly x: number; readonly y: number | null }[];
};

const WIDTH = 900;
const HEIGHT = 260;
const LEFT = 54;
const RIGHT = 12;
const TOP = 28;
const BOTTOM = 34;
const TICKS = 5;

/** A round step of 1, 2 or 5 times a power of ten that gives about `TICKS` intervals. */
function roundStep(span: number): number {
  const rough = span / TICKS;
  const power = 10 ** Math.floor(Math.log10(rough));
  return (rough / power < 1.5 ? 1 : rough / power < 3.5 ? 2 : rough / power < 7.5 ? 5 : 10) * power;
}

/** The plot; `x` is in minutes. Empty series draw an empty frame. */
export function plot(title: string, unit: string, series: readonly Series[]): string {
  const points = series
    .flatMap(({ values }) => values)
    .filter((point): point is { x: number; y: number } => point.y !== null);
  const xs = points.map(({ x }) => x);
  const ys = points.map(({ y }) => y);
  const [low, high] = [Math.min(...ys, 0), Math.max(...ys, 1)];
  const step = roundStep(high - low);
  const [bottom, top] = [Math.floor(low / step) * step, Math.ceil(high / step) * step];
  const lastX = Math.max(...xs, 1);
  const atX = (x: number): string => (LEFT + (x / lastX) * (WIDTH - LEFT - RIGHT)).toFixed(1);
  const atY = (y: number): string =>
    (HEIGHT - BOTTOM - ((y - bottom) / (top - bottom)) * (HEIGHT - TOP - BOTTOM)).toFixed(1);
  const rules = range(bottom, top, step).map(
    (y) =>
      `<path class="rule" d="M${LEFT} ${atY(y)}H${WIDTH - RIGHT}"/><text x="${LEFT - 6}" y="${atY(y)}" class="end">${Number(y.toPrecision(6))}</text>`,
  );
  const minutes = range(0, lastX, roundStep(lastX)).map(
    (x) => `<text x="${atX(x)}" y="${HEIGHT - 12}" class="middle">${Number(x.toPrecision(6))} min</text>`,
  );
  const drawn = series.map((one) => (one.kind === "line" ? line(one, atX, atY) : dots(one, atX, atY)));
  const key = series.map(
    ({ name, colour }, at) =>
      `<rect x="${LEFT + at * 190}" y="6" width="14" height="10" fill="${colour}"/><text x="${LEFT + 20 + at * 190}" y="11">${name}</text>`,
  );
  return `<svg viewBox="0 0 ${WIDTH} ${HEIGHT}" role="img" aria-label="${title}, ${unit}">${[...rules, ...minutes, ...drawn, ...key].join("")}</svg>`;
}

function range(low: number, high: number, step: number): number[] {
  return Array.from({ length: Math.floor((high - low) / step + 1e-9) + 1 }, (_, index) => low + index * step);
}

type Place = (value: number) => string;

function line({ values, colour }: Series, atX: Place, atY: Place): string {
  let pen = "M";
  const path = values.map(({ x, y }) => {
    if (y === null) {
      pen = "M";
      return "";
    }
    const move = `${pen}${atX(x)} ${atY(y)}`;
    pen = "L";
    return move;
  });
  return `<path d="${path.join("")}" fill="none" stroke="${colour}" stroke-width="1.6"/>`;
}

function dots({ values, colour }: Series, atX: Place, atY: Place): string {
  return values
    .filter((point): point is { x: number; y: number } => point.y !== null)
    .map(
      ({ x, y }) => `<circle cx="${atX(x)}" cy="${atY(y)}" r="3.5" fill="none" stroke="${colour}" stroke-width="2"/>`,
    )
    .join("");
}
