// The stretch of time that charts show, and how drag and keys change it. Pure; it never leaves the whole and never becomes
// shorter than what can be read.

export type Span = { readonly from: number; readonly to: number };

/** Puts `span` inside `whole`, at least `shortest` long. */
export function within(span: Span, whole: Span, shortest: number): Span {
  const length = Math.min(whole.to - whole.from, Math.max(shortest, span.to - span.from));
  const from = Math.min(Math.max(whole.from, span.from), whole.to - length);
  return { from, to: from + length };
}

/** Shrinks (`factor` below 1) or stretches about the middle. */
export function zoomed({ from, to }: Span, factor: number): Span {
  const middle = (from + to) / 2;
  const half = ((to - from) / 2) * factor;
  return { from: middle - half, to: middle + half };
}

/** Moves by `share` of its own length. */
export function moved({ from, to }: Span, share: number): Span {
  const by = (to - from) * share;
  return { from: from + by, to: to + by };
}

/** What a key does to the span; null for a key that does nothing here. */
export function afterKey(key: string, span: Span, whole: Span): Span | null {
  switch (key) {
    case "+":
    case "=":
      return zoomed(span, 0.5);
    case "-":
    case "_":
      return zoomed(span, 2);
    case "ArrowLeft":
      return moved(span, -0.25);
    case "ArrowRight":
      return moved(span, 0.25);
    case "Home":
    case "0":
      return whole;
    default:
      return null;
  }
}

/** Two to seven round numbers inside low…high. */
export function roundTicks(low: number, high: number, most = 5): readonly number[] {
  const rough = (high - low) / most;
  if (!(rough > 0)) return [low];
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((by) => by * power).find((by) => by >= rough) ?? rough;
  const first = Math.ceil(low / step - 1e-9);
  const last = Math.floor(high / step + 1e-9);
  return Array.from({ length: last - first + 1 }, (_, index) => Number(((first + index) * step).toPrecision(12)));
}
