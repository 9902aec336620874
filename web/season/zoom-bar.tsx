// The buttons that do what drag and keys do, with the span that is shown in words. It decides nothing.

import { seasonStrings } from "../strings/season.ts";
import { moved, type Span, within, zoomed } from "./span.ts";

const words = seasonStrings.zoom;

type ZoomBarProps = {
  readonly span: Span;
  readonly whole: Span;
  readonly shortest: number;
  readonly text: (at: number) => string;
  readonly onSpan: (span: Span) => void;
};

export function ZoomBar({ span, whole, shortest, text, onSpan }: ZoomBarProps) {
  const isWhole = span.from <= whole.from && span.to >= whole.to;
  const go = (to: Span) => () => onSpan(within(to, whole, shortest));
  return (
    <fieldset class="zoom-bar">
      <legend class="hidden">{words.group}</legend>
      <button
        type="button"
        aria-label={words.earlier}
        title={words.earlier}
        disabled={isWhole}
        onClick={go(moved(span, -0.5))}
      >
        ←
      </button>
      <button type="button" aria-label={words.in} title={words.in} onClick={go(zoomed(span, 0.5))}>
        +
      </button>
      <button type="button" aria-label={words.out} title={words.out} disabled={isWhole} onClick={go(zoomed(span, 2))}>
        −
      </button>
      <button
        type="button"
        aria-label={words.later}
        title={words.later}
        disabled={isWhole}
        onClick={go(moved(span, 0.5))}
      >
        →
      </button>
      <button type="button" disabled={isWhole} onClick={go(whole)}>
        {words.whole}
      </button>
      <p class="zoom-shown" role="status">
        {words.shown(text(span.from), text(span.to))}
      </p>
    </fieldset>
  );
}
