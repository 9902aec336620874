// The frame of a chart: axes, grid, drag to zoom and keys. What is plotted comes as children that are given the scales.
// Colours are the style sheet's; it knows nothing of what it shows.

import { useSignal } from "@preact/signals";
import type { ComponentChildren } from "preact";
import { useId } from "preact/hooks";
import { afterKey, roundTicks, type Span, within } from "./span.ts";
import { useWidth } from "./width.ts";

export type Scales = {
  readonly x: (value: number) => number;
  readonly y: (value: number) => number;
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
};

export type Tick = { readonly value: number; readonly label: string };

type PlotProps = {
  readonly label: string;
  readonly height: number;
  readonly span: Span;
  readonly whole: Span;
  /** No zoom goes below this. */
  readonly shortest: number;
  readonly values: readonly [low: number, high: number];
  readonly ticksOf: (span: Span, most: number) => readonly Tick[];
  readonly valueText: (value: number) => string;
  readonly onSpan: (span: Span) => void;
  readonly children: (scales: Scales) => ComponentChildren;
};

/** Keys zoom it, as the hint beside it says. */
const REACHED = { tabIndex: 0 } as const;
const ROOM = { left: 54, right: 12, top: 20, bottom: 24 } as const;
const TICK_PIXELS = 78;
/** A shorter drag is a slip of the hand. */
const LEAST_DRAG_PIXELS = 8;

export function Plot(props: PlotProps) {
  const { label, height, span, whole, shortest, values, ticksOf, valueText, onSpan, children } = props;
  const { ref, width } = useWidth<HTMLDivElement>();
  const clip = useId();
  const drag = useSignal<Span | null>(null);
  const [low, high] = values;
  const left = ROOM.left;
  const right = Math.max(left + 1, width - ROOM.right);
  const bottom = height - ROOM.bottom;
  const x = (value: number): number => left + ((value - span.from) / (span.to - span.from)) * (right - left);
  const y = (value: number): number => bottom - ((value - low) / (high - low || 1)) * (bottom - ROOM.top);
  const place = (event: PointerEvent & { currentTarget: Element }): number =>
    Math.min(right, Math.max(left, event.clientX - event.currentTarget.getBoundingClientRect().left));
  const timeAt = (pixels: number): number => span.from + ((pixels - left) / (right - left)) * (span.to - span.from);
  const marked = drag.value;
  const finish = (): void => {
    drag.value = null;
    if (marked === null) return;
    const [from, to] = [Math.min(marked.from, marked.to), Math.max(marked.from, marked.to)];
    if (to - from >= LEAST_DRAG_PIXELS) onSpan(within({ from: timeAt(from), to: timeAt(to) }, whole, shortest));
  };
  return (
    <div
      class="plot"
      ref={ref}
      role="application"
      {...REACHED}
      aria-label={label}
      aria-describedby="season-zoom-hint"
      onKeyDown={(event) => {
        if (event.ctrlKey || event.metaKey || event.altKey) return;
        const next = afterKey(event.key, span, whole);
        if (next === null) return;
        event.preventDefault();
        onSpan(within(next, whole, shortest));
      }}
    >
      {width > 0 && (
        <svg
          width={width}
          height={height}
          aria-hidden="true"
          onPointerDown={(event) => {
            if (event.button !== 0 || event.pointerType === "touch") return;
            event.currentTarget.setPointerCapture(event.pointerId);
            drag.value = { from: place(event), to: place(event) };
          }}
          onPointerMove={(event) => {
            if (drag.value !== null) drag.value = { from: drag.value.from, to: place(event) };
          }}
          onPointerUp={finish}
          onPointerCancel={() => {
            drag.value = null;
          }}
        >
          {roundTicks(low, high, height > 200 ? 6 : 4).map((value) => (
            <g key={value}>
              <line class="plot-grid" x1={left} x2={right} y1={y(value)} y2={y(value)} />
              <text class="plot-value" x={left - 8} y={y(value)} dy="0.35em">
                {valueText(value)}
              </text>
            </g>
          ))}
          {ticksOf(span, Math.max(2, Math.floor((right - left) / TICK_PIXELS))).map(({ value, label: text }) => (
            <g key={value}>
              <line class="plot-tick" x1={x(value)} x2={x(value)} y1={bottom} y2={bottom + 5} />
              <text class="plot-time" x={x(value)} y={height - 5}>
                {text}
              </text>
            </g>
          ))}
          <line class="plot-axis" x1={left} x2={right} y1={bottom} y2={bottom} />
          <clipPath id={clip}>
            <rect x={left - 6} y={0} width={right - left + 12} height={bottom + 1} />
          </clipPath>
          <g clip-path={`url(#${clip})`}>{children({ x, y, left, right, top: ROOM.top, bottom })}</g>
          {marked !== null && (
            <rect
              class="plot-drag"
              x={Math.min(marked.from, marked.to)}
              y={ROOM.top}
              width={Math.abs(marked.to - marked.from)}
              height={bottom - ROOM.top}
            />
          )}
        </svg>
      )}
    </div>
  );
}
